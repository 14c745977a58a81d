// Phones at the bench: enrolled once by a link that works once, then free to read Service and tick tasks, until sent away.
import type { Request, Response, Router } from "express";
import { h } from "preact";
import { UsageError } from "../../../shared/errors.ts";
import { benchCookie } from "../cookies.ts";
import { isLoopback } from "../exposure.ts";
import { dropToken, issueToken, loadTokens, maybeToken, type Token, tokenNamed } from "../tokens.ts";
import { noteOnTrail } from "../trail.ts";
import { inTurn, look } from "../turn.ts";
import { qrCode } from "./account.ts";
import { codeOf, type Door, typed } from "./door.ts";
import { field, form, hidden, type Page, sendPage } from "./layout.ts";
import { nobodyYet } from "./sign-in.ts";

export function addBench(router: Router, door: Door): void {
  const mayEnrol = door.require("enrol-bench");
  const anyone = door.require("anyone");
  router.get("/benches", mayEnrol, (request, response) => sendBenches(door, request, response));
  router.post("/benches", mayEnrol, (request, response) => invite(door, request, response));
  router.post("/benches/remove", mayEnrol, (request, response) => sendAway(door, request, response));
  router.get("/bench", anyone, async (request, response) => {
    const link = await linkOf(door, codeOf(request));
    if (link) sendPage(response, enrolPage(link, codeOf(request)));
    else sendPage(response, spentLink, 404);
  });
  router.post("/bench", anyone, (request, response) => enrol(door, request, response));
}

const linkOf = ({ store, now }: Door, code: string): Promise<Token | null> =>
  look(store, (connection) => maybeToken(connection, "enrol", code, now()));

const spentLink: Page = {
  title: "This link is used up",
  body: h("p", null, "A phone's link works once and for one hour. Ask whoever made it for a new one."),
};

const enrolPage = (link: Token, code: string): Page => ({
  title: `This phone as ${link.name}`,
  body: [
    h(
      "p",
      null,
      "From now on this phone may read what is due and tick tasks, without a password. It sees nothing about members. Whoever holds the phone may do so: keep it at the bench.",
    ),
    form("/bench", "Enrol this phone", hidden("code", code)),
  ],
});

async function sendBenches(
  door: Door,
  request: Request,
  response: Response,
  told: { complaint?: string; note?: string } = {},
): Promise<void> {
  if (door.visitor(request).isOpen) return sendPage(response, nobodyYet);
  const tokens = await look(door.store, (connection) => loadTokens(connection, door.now()));
  const benches = tokens.filter(({ purpose }) => purpose === "bench");
  sendPage(
    response,
    {
      title: "Phones at the bench",
      ...told,
      body: [
        h("p", null, "An enrolled phone may read Service and tick tasks, and nothing else."),
        benches.length === 0 && h("p", null, "None is enrolled."),
        ...benches.map(({ name, madeAt, madeBy, usedAt }) =>
          h(
            "div",
            { class: "row" },
            h(
              "span",
              null,
              `${name}: enrolled ${dayOf(madeAt)} by ${madeBy}, ${usedAt ? `last used ${dayOf(usedAt)}` : "not used yet"}`,
            ),
            form("/benches/remove", `Send ${name} away`, hidden("name", name)),
          ),
        ),
        h("h2", null, "Enrol a phone"),
        form(
          "/benches",
          "Make its link",
          field({
            name: "name",
            label: "What to call it",
            autocomplete: "off",
            hint: "Where it lies, like: wood room.",
            isWrong: told.complaint !== undefined,
          }),
        ),
      ],
    },
    told.complaint ? 422 : 200,
  );
}

const dayOf = (time: Date): string => time.toISOString().slice(0, 10);

async function invite(door: Door, request: Request, response: Response): Promise<void> {
  const { store, now } = door;
  const by = door.visitor(request).name ?? "";
  const name = typed(request, "name").trim();
  try {
    const { secret } = await inTurn(store, async (connection) => {
      const issued = await issueToken(connection, { purpose: "enrol", name, by }, now());
      await noteOnTrail(connection, { who: by, act: "changed", what: "link for a phone made", detail: { name } }, now());
      return issued;
    });
    const address = `${request.protocol}://${request.get("host")}/bench?code=${secret}`;
    const isOnlyHere = isLoopback(request.hostname);
    sendPage(response, {
      title: `A link for ${name}`,
      body: [
        isOnlyHere &&
          h(
            "p",
            { class: "complaint" },
            "This page was opened under a name that only this computer knows. Open it under the server's own name to make a link that a phone can follow.",
          ),
        h("p", null, "Scan this with the phone within one hour. The link works once."),
        await qrCode(address, "QR code of the link below"),
        h("p", null, h("code", { id: "link" }, address)),
        h("p", null, h("a", { href: "/benches" }, "Back to the phones")),
      ],
    });
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    await sendBenches(door, request, response, { complaint: `The name won't do: choose ${error.complaint.expected}.` });
  }
}

async function sendAway(door: Door, request: Request, response: Response): Promise<void> {
  const { store, now } = door;
  const by = door.visitor(request).name ?? "";
  const name = typed(request, "name");
  await inTurn(store, async (connection) => {
    await dropToken(connection, await tokenNamed(connection, ["bench"], name, now()), now());
    await noteOnTrail(connection, { who: by, act: "changed", what: "phone sent away", detail: { name } }, now());
  });
  await sendBenches(door, request, response, { note: `${name} is sent away.` });
}

async function enrol(door: Door, request: Request, response: Response): Promise<void> {
  const { store, now } = door;
  const code = typed(request, "code");
  const enrolled = await inTurn(store, async (connection) => {
    const link = await maybeToken(connection, "enrol", code, now());
    if (!link) return null;
    await dropToken(connection, link, now());
    const bench = await issueToken(connection, { purpose: "bench", name: link.name, by: link.madeBy }, now());
    await noteOnTrail(
      connection,
      { who: `bench ${link.name}`, act: "changed", what: "phone enrolled", detail: { linkBy: link.madeBy } },
      now(),
    );
    return { ...bench, name: link.name };
  });
  if (!enrolled) return sendPage(response, spentLink, 404);
  response.cookie(benchCookie, enrolled.secret, {
    httpOnly: true,
    sameSite: "strict",
    secure: request.secure,
    path: "/",
    ...(enrolled.untilAt ? { expires: enrolled.untilAt } : {}),
  });
  sendPage(response, {
    title: "This phone is enrolled",
    note: `It is called ${enrolled.name}.`,
    body: h("p", null, h("a", { href: "/service" }, "To what is due")),
  });
}
