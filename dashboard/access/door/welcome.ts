// The one-time link of a new or recovered account: its holder chooses a password that nobody else has seen.
import type { Request, Response, Router } from "express";
import { h } from "preact";
import { UsageError } from "../../../shared/errors.ts";
import { maybeAccount, setPassword } from "../accounts.ts";
import { hashOfPassword, refuseWeak, shortestPassword } from "../password.ts";
import { maybeToken, type Token } from "../tokens.ts";
import { noteOnTrail } from "../trail.ts";
import { inTurn, look } from "../turn.ts";
import { codeOf, type Door, typed } from "./door.ts";
import { field, form, hidden, type Page, sendPage } from "./layout.ts";
import { complete } from "./sign-in.ts";

export function addWelcome(router: Router, door: Door): void {
  const anyone = door.require("anyone");
  router.get("/welcome", anyone, async (request, response) => {
    const link = await linkOf(door, codeOf(request));
    if (link) sendPage(response, welcomePage(link.name, codeOf(request)));
    else sendPage(response, spentLink, 404);
  });
  router.post("/welcome", anyone, (request, response) => choose(door, request, response));
}

const linkOf = ({ store, now }: Door, code: string): Promise<Token | null> =>
  look(store, (connection) => maybeToken(connection, "welcome", code, now()));

const spentLink: Page = {
  title: "This link is used up",
  body: [
    h("p", null, "A link works once and for seven days. Ask a steward for a new one."),
    h("p", null, h("a", { href: "/sign-in" }, "To sign-in")),
  ],
};

export const passwordHint = `At least ${shortestPassword} characters. Four words that don't belong together are easy to keep and hard to guess.`;

const welcomePage = (name: string, code: string, complaint?: string): Page => ({
  title: `Welcome, ${name}`,
  complaint,
  body: form(
    "/welcome",
    "Keep this password",
    hidden("code", code),
    field({
      name: "password",
      label: "Choose a password",
      type: "password",
      autocomplete: "new-password",
      hint: passwordHint,
      isWrong: complaint !== undefined,
    }),
    field({ name: "again", label: "The same once more", type: "password", autocomplete: "new-password" }),
  ),
});

async function choose(door: Door, request: Request, response: Response): Promise<void> {
  const { store, now, cost, workshopName } = door;
  const code = typed(request, "code");
  const link = await linkOf(door, code);
  if (!link) return sendPage(response, spentLink, 404);
  const password = typed(request, "password");
  const complaint = await complaintAbout(password, typed(request, "again"), [link.name, await workshopName()]);
  if (complaint) return sendPage(response, welcomePage(link.name, code, complaint), 422);
  const hash = await hashOfPassword(password, cost);
  const account = await inTurn(store, async (connection) => {
    // Of two who open the same link at once, one comes first.
    const still = await maybeToken(connection, "welcome", code, now());
    const known = still && (await maybeAccount(connection, still.name));
    if (!still || !known) return null;
    await setPassword(connection, known, hash, now());
    await noteOnTrail(connection, { who: known.name, act: "changed", what: "password chosen by link" }, now());
    return known;
  });
  if (!account) return sendPage(response, spentLink, 404);
  if (account.factor !== null) return response.redirect(303, "/sign-in");
  await complete(door, account, "/account?new=1", request, response);
}

/** What is wrong with a new password, as a sentence; null where nothing is. */
export async function complaintAbout(password: string, again: string, about: readonly string[]): Promise<string | null> {
  if (password !== again) return "The two passwords differ. Type the same one twice.";
  try {
    await refuseWeak(password, about);
    return null;
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    return `This password won't do: choose ${error.complaint.expected}.`;
  }
}
