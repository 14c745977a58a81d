// One's own account: password, second factor, other browsers that are signed in.
import type { Request, Response, Router } from "express";
import { h, type JSX } from "preact";
import QRCode from "qrcode";
import { type Account, accountNamed, endVisits, keepAccount, setPassword } from "../accounts.ts";
import { addressOfFactor, newFactor, newPaperCodes, stepOfCode } from "../factor.ts";
import { hashOfPassword } from "../password.ts";
import { hashOfSecret } from "../secret.ts";
import { noteOnTrail } from "../trail.ts";
import { forgiveTry } from "../tries.ts";
import { inTurn } from "../turn.ts";
import { type Door, saveVisit, tryOn, typed, waitText } from "./door.ts";
import { field, form, sendPage } from "./layout.ts";
import { isRightPassword, nobodyYet } from "./sign-in.ts";
import { complaintAbout, passwordHint } from "./welcome.ts";

export function addAccount(router: Router, door: Door): void {
  const own = door.require("own-account");
  type Handler = (account: Account, request: Request, response: Response) => Promise<void> | void;
  const forAccount = (handle: Handler) => (request: Request, response: Response) => {
    const { account } = door.visitor(request);
    return account ? handle(account, request, response) : sendPage(response, nobodyYet);
  };
  const proved =
    (what: string, handle: Handler): Handler =>
    async (account, request, response) => {
      const complaint = await complaintWithoutPassword(door, account, request);
      if (complaint) return sendAccount(response, account, { complaint: `${what}: ${complaint}` }, 401);
      await handle(account, request, response);
    };

  router.get(
    "/account",
    own,
    forAccount((account, request, response) =>
      sendAccount(
        response,
        account,
        request.query.new === undefined
          ? {}
          : { note: "You are signed in. A second factor, below, keeps others out even if they learn your password." },
      ),
    ),
  );
  router.post(
    "/account/password",
    own,
    forAccount(proved("The password stays", (account, request, response) => changePassword(door, account, request, response))),
  );
  router.post(
    "/account/factor",
    own,
    forAccount(proved("No second factor was set", (account, request, response) => beginFactor(door, account, request, response))),
  );
  router.post(
    "/account/factor/prove",
    own,
    forAccount((account, request, response) => proveFactor(door, account, request, response)),
  );
  router.post(
    "/account/factor/remove",
    own,
    forAccount(
      proved("The second factor stays", async (account, _request, response) => {
        const changed = { ...account, factor: null, factorStep: null, paperCodes: [] };
        await inTurn(door.store, async (connection) => {
          await keepAccount(connection, {
            ...(await accountNamed(connection, account.name)),
            factor: null,
            factorStep: null,
            paperCodes: [],
          });
          await noteOnTrail(connection, { who: account.name, act: "changed", what: "second factor removed" }, door.now());
        });
        sendAccount(response, changed, { note: "The second factor is removed." });
      }),
    ),
  );
  router.post(
    "/account/elsewhere",
    own,
    forAccount(async (account, request, response) => {
      await inTurn(door.store, async (connection) => {
        await endVisits(connection, account.name, hashOfSecret(request.sessionID));
        await noteOnTrail(connection, { who: account.name, act: "signed-out", what: "every other browser" }, door.now());
      });
      sendAccount(response, account, { note: "Every other browser is signed out." });
    }),
  );
}

const password = (id: string): JSX.Element =>
  h(
    "div",
    { class: "field" },
    h("label", { for: id }, "Your password"),
    h("input", { id, name: "password", type: "password", autocomplete: "current-password", required: true }),
  );

function sendAccount(response: Response, account: Account, told: { complaint?: string; note?: string }, status = 200): void {
  const factor =
    account.factor === null
      ? [
          h("p", null, "None is set. With one, signing in also asks for a code from your phone or password manager."),
          form("/account/factor", "Set a second factor", password("factor-password")),
        ]
      : [
          h("p", null, `It is set, and asked at every sign-in. ${account.paperCodes.length} recovery codes are left.`),
          form("/account/factor", "Set it anew, with new recovery codes", password("factor-password")),
          form("/account/factor/remove", "Remove it", password("remove-password")),
        ];
  sendPage(
    response,
    {
      title: "Your account",
      ...told,
      body: [
        h("p", null, `Signed in as ${account.name}: ${account.roles.join(", ")}.`),
        form("/sign-out", "Sign out"),
        h("h2", null, "Second factor"),
        ...factor,
        h("h2", null, "Password"),
        form(
          "/account/password",
          "Change the password",
          password("old-password"),
          field({ name: "fresh", label: "New password", type: "password", autocomplete: "new-password", hint: passwordHint }),
          field({ name: "again", label: "New password once more", type: "password", autocomplete: "new-password" }),
        ),
        h("h2", null, "Other browsers"),
        form("/account/elsewhere", "Sign out everywhere else"),
      ],
    },
    status,
  );
}

/** Whoever sits at a browser left signed in must not take the account over. */
async function complaintWithoutPassword(door: Door, account: Account, request: Request): Promise<string | null> {
  const wait = await tryOn(door, account.name, request);
  if (wait > 0) return waitText(wait);
  const isRight = await isRightPassword(door, account, typed(request, "password"));
  if (isRight === "busy") return waitText(5_000);
  if (!isRight) return "that is not your password.";
  await inTurn(door.store, (connection) => forgiveTry(connection, account.name, request.ip ?? "", door.now()));
  return null;
}

async function changePassword(door: Door, account: Account, request: Request, response: Response): Promise<void> {
  const { store, now, cost, workshopName } = door;
  const fresh = typed(request, "fresh");
  const complaint = await complaintAbout(fresh, typed(request, "again"), [account.name, await workshopName()]);
  if (complaint) return sendAccount(response, account, { complaint }, 422);
  const hash = await hashOfPassword(fresh, cost);
  await inTurn(store, async (connection) => {
    await setPassword(connection, await accountNamed(connection, account.name), hash, now(), hashOfSecret(request.sessionID));
    await noteOnTrail(connection, { who: account.name, act: "changed", what: "password" }, now());
  });
  sendAccount(response, account, { note: "The password is changed, and every other browser is signed out." });
}

async function beginFactor(door: Door, account: Account, request: Request, response: Response): Promise<void> {
  request.session.newFactor = newFactor();
  await saveVisit(request);
  await sendFactor(door, account, request.session.newFactor, response);
}

async function sendFactor(door: Door, account: Account, factor: string, response: Response, complaint?: string): Promise<void> {
  const address = addressOfFactor(factor, await door.workshopName(), account.name);
  sendPage(
    response,
    {
      title: "Set a second factor",
      complaint,
      body: [
        h("p", null, "Scan this with an authenticator app or a password manager, then type the six digits that it shows."),
        await qrCode(address, "QR code of the second factor; the same as letters stands below"),
        h("p", null, "Without a camera, type this: ", h("code", { id: "factor" }, factor.replace(/(.{4})(?=.)/g, "$1 "))),
        form(
          "/account/factor/prove",
          "Set it",
          field({ name: "code", label: "The six digits", autocomplete: "one-time-code", isWrong: complaint !== undefined }),
        ),
        h("p", null, h("a", { href: "/account" }, "Back, without setting it")),
      ],
    },
    complaint ? 422 : 200,
  );
}

async function proveFactor(door: Door, account: Account, request: Request, response: Response): Promise<void> {
  const { store, now } = door;
  const { newFactor: factor } = request.session;
  if (!factor) return response.redirect(303, "/account");
  const step = stepOfCode(factor, typed(request, "code"), null, now());
  if (step === null)
    return sendFactor(
      door,
      account,
      factor,
      response,
      "That code is not right. Wait for the next one; if none is right, check the phone's clock.",
    );
  const { codes, hashes } = newPaperCodes();
  delete request.session.newFactor;
  await saveVisit(request);
  await inTurn(store, async (connection) => {
    await keepAccount(connection, {
      ...(await accountNamed(connection, account.name)),
      factor,
      factorStep: step,
      paperCodes: hashes,
    });
    await endVisits(connection, account.name, hashOfSecret(request.sessionID));
    await noteOnTrail(connection, { who: account.name, act: "changed", what: "second factor set" }, now());
  });
  sendPage(response, {
    title: "The second factor is set",
    note: "From now on signing in asks for a code.",
    body: [
      h(
        "p",
        null,
        "Write these recovery codes down now and keep the paper away from the phone. Each opens your account once, with your password, and they are shown only here.",
      ),
      h(
        "ul",
        { class: "codes" },
        codes.map((code) => h("li", null, h("code", null, code))),
      ),
      h("p", null, h("a", { href: "/account" }, "I have them")),
    ],
  });
}

/** A QR code as a picture within the page. */
export async function qrCode(text: string, label: string): Promise<JSX.Element> {
  const svg = await QRCode.toString(text, { type: "svg", margin: 4 });
  return h("div", { class: "qr", role: "img", "aria-label": label, dangerouslySetInnerHTML: { __html: svg } });
}
