// Signing in, with the second factor where one is set, and out.
import type { Request, Response, Router } from "express";
import { h } from "preact";
import { type Account, accountNamed, keepAccount, maybeAccount, nameAsKept } from "../accounts.ts";
import { visitCookie } from "../cookies.ts";
import { stepOfCode, withoutPaperCode } from "../factor.ts";
import { hashOfPassword, isOfOtherCost, isPassword, TooManyAtOnce } from "../password.ts";
import { noteOnTrail } from "../trail.ts";
import { forgiveTry } from "../tries.ts";
import { inTurn, look } from "../turn.ts";
import { type Door, endVisit, placeWithin, renewVisit, saveVisit, tryOn, typed, waitText } from "./door.ts";
import { field, form, hidden, type Page, sendPage } from "./layout.ts";

const halfwayMs = 5 * 60_000;

export function addSignIn(router: Router, door: Door): void {
  const anyone = door.require("anyone");
  router.get("/sign-in", anyone, async (request, response) => {
    const to = placeWithin(typeof request.query.to === "string" ? request.query.to : "/");
    const { isOpen, name } = door.visitor(request);
    if (isOpen) return sendPage(response, nobodyYet);
    if (name !== null && !name.startsWith("bench ")) return response.redirect(303, to);
    sendPage(response, signInPage(to));
  });
  router.post("/sign-in", anyone, (request, response) => signIn(door, request, response));
  router.get("/sign-in/code", anyone, (request, response) => {
    if (halfwayOf(door, request)) sendPage(response, codePage());
    else response.redirect(303, "/sign-in");
  });
  router.post("/sign-in/code", anyone, (request, response) => provePhone(door, request, response));
  router.get("/sign-out", anyone, (_request, response) =>
    sendPage(response, { title: "Sign out", body: form("/sign-out", "Sign out") }),
  );
  router.post("/sign-out", anyone, async (request, response) => {
    const { account } = door.visitor(request);
    if (request.session) await endVisit(request);
    response.clearCookie(visitCookie, { path: "/", httpOnly: true, sameSite: "strict" });
    if (account)
      await inTurn(door.store, (connection) =>
        noteOnTrail(connection, { who: account.name, act: "signed-out", what: "dashboard" }, door.now()),
      );
    sendPage(response, {
      title: "Signed out",
      note: "This browser is signed out.",
      body: h("p", null, h("a", { href: "/sign-in" }, "Sign in again")),
    });
  });
}

/** Shown where no account exists; the server can be reached from this computer only. */
export const nobodyYet: Page = {
  title: "No accounts yet",
  body: [
    h(
      "p",
      null,
      "Nobody has an account, so whoever sits at this computer may see and do everything. No other computer can reach this server.",
    ),
    h("p", null, "To ask everyone who they are, make the first account on the command line:"),
    h("p", null, h("code", null, "almanac account add NAME --role steward")),
    h("p", null, h("a", { href: "/" }, "To the dashboard")),
  ],
};

const signInPage = (to: string, name = "", complaint?: string): Page => ({
  title: "Sign in",
  complaint,
  body: [
    form(
      "/sign-in",
      "Sign in",
      hidden("to", to),
      field({ name: "name", label: "Name", autocomplete: "username", value: name, isWrong: complaint !== undefined }),
      field({
        name: "password",
        label: "Password",
        type: "password",
        autocomplete: "current-password",
        isWrong: complaint !== undefined,
      }),
    ),
    h(
      "p",
      { class: "hint" },
      "Forgotten? A steward can give you a new link; a steward's own way back is on the workshop's computer: almanac account recover NAME.",
    ),
  ],
});

const codePage = (complaint?: string): Page => ({
  title: "One-time code",
  complaint,
  body: form(
    "/sign-in/code",
    "Go on",
    field({
      name: "code",
      label: "Code",
      autocomplete: "one-time-code",
      hint: "The six digits that your authenticator shows now, or one of your recovery codes.",
      code: true,
      isWrong: complaint !== undefined,
    }),
  ),
});

async function signIn(door: Door, request: Request, response: Response): Promise<void> {
  const name = nameAsKept(typed(request, "name"));
  const to = placeWithin(typed(request, "to"));
  if (door.visitor(request).isOpen) return sendPage(response, nobodyYet);
  const wait = await tryOn(door, name, request);
  if (wait > 0) return tooSoon(response, wait, (complaint) => signInPage(to, name, complaint));
  const account = await look(door.store, (connection) => maybeAccount(connection, name));
  const isRight = await isRightPassword(door, account, typed(request, "password"));
  if (isRight === "busy") return tooSoon(response, 5_000, (complaint) => signInPage(to, name, complaint));
  if (!account || !isRight) {
    if (account) await refused(door, account, "password");
    return sendPage(response, signInPage(to, name, "Name and password don't belong together. Check both and try again."), 401);
  }
  await keepAtTodaysCost(door, account, typed(request, "password"));
  if (account.factor === null) return complete(door, account, to, request, response);
  await renewVisit(request);
  request.session.halfway = { account: account.name, until: door.now().getTime() + halfwayMs, to };
  await saveVisit(request);
  response.redirect(303, "/sign-in/code");
}

function tooSoon(response: Response, wait: number, page: (complaint: string) => Page): void {
  response.set("retry-after", String(Math.ceil(wait / 1000)));
  sendPage(response, page(waitText(wait)), 429);
}

let decoy: Promise<string> | undefined;

/** Takes as long for a name that nobody has. */
export async function isRightPassword({ cost }: Door, account: Account | null, password: string): Promise<boolean | "busy"> {
  decoy ??= hashOfPassword("nobody has this password", cost);
  try {
    const isRight = await isPassword(password.slice(0, 1_000), account?.password ?? (await decoy));
    return isRight && account?.password != null;
  } catch (error) {
    if (error instanceof TooManyAtOnce) return "busy";
    throw error;
  }
}

const refused = ({ store, now }: Door, { name }: Account, what: string): Promise<void> =>
  inTurn(store, (connection) => noteOnTrail(connection, { who: name, act: "refused", what: `sign-in: wrong ${what}` }, now()));

function halfwayOf({ now }: Door, request: Request) {
  const halfway = request.session?.halfway;
  return halfway && halfway.until > now().getTime() ? halfway : null;
}

async function provePhone(door: Door, request: Request, response: Response): Promise<void> {
  const halfway = halfwayOf(door, request);
  if (!halfway) return response.redirect(303, "/sign-in");
  const wait = await tryOn(door, halfway.account, request);
  if (wait > 0) return tooSoon(response, wait, codePage);
  const proved = await inTurn(door.store, (connection) => useCode(door, connection, halfway.account, typed(request, "code")));
  if (proved.isRight) return complete(door, proved.account, halfway.to, request, response);
  await refused(door, proved.account, "code");
  sendPage(
    response,
    codePage("That code is not right, or it has been used. Wait for the next one and type all six digits."),
    401,
  );
}

type Connection = Parameters<typeof keepAccount>[0];

/** Checks a code and marks it used, in one turn: of two who send the same code one gets in. */
async function useCode(
  { now }: Door,
  connection: Connection,
  name: string,
  code: string,
): Promise<{ isRight: boolean; account: Account }> {
  const account = await accountNamed(connection, name);
  if (account.factor === null) return { isRight: false, account };
  const step = stepOfCode(account.factor, code, account.factorStep, now());
  const paper = step === null ? withoutPaperCode(account.paperCodes, code) : null;
  if (step === null && paper === null) return { isRight: false, account };
  const used = step !== null ? { ...account, factorStep: step } : { ...account, paperCodes: paper ?? [] };
  await keepAccount(connection, used);
  if (paper)
    await noteOnTrail(
      connection,
      { who: name, act: "changed", what: "recovery code used", detail: { left: paper.length } },
      now(),
    );
  return { isRight: true, account: used };
}

/** Signs in: a new visit, the tries forgotten, the trail told. */
export async function complete(door: Door, account: Account, to: string, request: Request, response: Response): Promise<void> {
  const { store, now } = door;
  await renewVisit(request);
  request.session.account = account.name;
  await saveVisit(request);
  await inTurn(store, async (connection) => {
    await forgiveTry(connection, account.name, request.ip ?? "", now());
    await noteOnTrail(connection, { who: account.name, act: "signed-in", what: "dashboard" }, now());
  });
  response.redirect(303, placeWithin(to));
}

async function keepAtTodaysCost({ store, cost }: Door, { name, password: kept }: Account, password: string): Promise<void> {
  if (kept === null || !isOfOtherCost(kept, cost)) return;
  const anew = await hashOfPassword(password, cost);
  await inTurn(store, async (connection) => {
    const account = await accountNamed(connection, name);
    if (account.password === kept) await keepAccount(connection, { ...account, password: anew });
  });
}
