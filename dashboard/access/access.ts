// Who is at the door: turns a request into a visitor, refuses what the visitor has no right to, and fits answers to them.
import { randomBytes } from "node:crypto";
import { parseCookie } from "cookie";
import type { Request, RequestHandler, Response, Router } from "express";
import session from "express-session";
import { keepNote, noteOfStore, type Store } from "../../shared/store.ts";
import type { Answer, Command } from "../commands/command.ts";
import { WebError } from "../server/problem.ts";
import { type Account, loadAccounts } from "./accounts.ts";
import { refuseMembersIn } from "./board/guard.ts";
import { benchCookie, visitCookie } from "./cookies.ts";
import { accessPages } from "./door/routes.ts";
import { type Exposure, isPrivate } from "./exposure.ts";
import { asNeeding } from "./guards.ts";
import { type Cost, fullCost } from "./password.ts";
import { type Holder, hasRight, isBoards, type Need, needs, rights, roles } from "./rights.ts";
import { onlyOurs } from "./same-site.ts";
import { isUseNews, maybeToken, noteUse, type Purpose, type Token } from "./tokens.ts";
import { inTurn, look } from "./turn.ts";
import { VisitStore } from "./visits.ts";

export interface Visitor {
  /** The account's name, `bench …`, `source …`; null where nobody signed in. */
  readonly name: string | null;
  readonly holders: readonly Holder[];
  /** No account exists yet: whoever sits at this computer is the steward. */
  readonly isOpen: boolean;
  readonly account: Account | null;
}

export interface Access {
  /** Goes before every route: knows the visitor, refuses what a page elsewhere sent. */
  readonly admit: RequestHandler[];
  visitor(request: Request): Visitor;
  /** Lets through who has the right; the others are told to sign in, or that it is not for them. */
  require(need: Need): RequestHandler;
  /** Whether this visitor gets the command's answer as the board does. */
  isBoards(request: Request, command: Command): boolean;
  /** The answer as this visitor may see it. */
  fit(answer: Answer, command: Command, request: Request): Answer;
  /** Whether this visitor may know how often the log grows: not the board. */
  hearsOfLog(request: Request): boolean;
  /** Ends the response, be it a stream, when its visitor loses the right. */
  endWithVisit(need: Need): RequestHandler;
  /** Sign-in, sign-out, one's own account, enrolment. */
  readonly pages: Router;
}

export interface AccessSettings {
  store: Store;
  exposure: Exposure;
  /** The workshop's name, as authenticator apps show it. */
  workshopName: () => Promise<string>;
  now?: () => Date;
  cost?: Cost;
  /** How often an open stream looks whether its visitor still has the right. */
  lookAgainMs?: number;
}

const usualLookMs = 20_000;

const nobody: Visitor = { name: null, holders: [], isOpen: false, account: null };
const whoeverIsHere: Visitor = { name: null, holders: roles, isOpen: true, account: null };

export async function makeAccess({
  store,
  exposure,
  workshopName,
  now = () => new Date(),
  cost = fullCost,
  lookAgainMs = usualLookMs,
}: AccessSettings): Promise<Access> {
  const visitors = new WeakMap<Request, Visitor>();
  const visitor = (request: Request): Visitor => visitors.get(request) ?? nobody;

  const sessions = session({
    name: visitCookie,
    secret: await cookieSecret(store),
    genid: () => randomBytes(32).toString("base64url"),
    store: new VisitStore(store, now),
    resave: false,
    saveUninitialized: false,
    cookie: { httpOnly: true, sameSite: "strict", secure: "auto", path: "/" },
  });

  const benchOf = async (request: Request): Promise<Token | null> => {
    const secret = parseCookie(request.headers.cookie ?? "")[benchCookie];
    return secret ? usedToken("bench", secret) : null;
  };

  const usedToken = async (purpose: Purpose, secret: string): Promise<Token | null> => {
    const token = await look(store, (connection) => maybeToken(connection, purpose, secret, now()));
    if (token && isUseNews(token, now())) await inTurn(store, (connection) => noteUse(connection, token, now()));
    return token;
  };

  const visitorFrom = async (request: Request): Promise<Visitor> => {
    const accounts = await look(store, loadAccounts);
    if (accounts.length === 0) return isPrivate(exposure) ? whoeverIsHere : nobody;
    const account = accounts.find(({ name }) => name === request.session?.account);
    if (account) return { name: account.name, holders: account.roles, isOpen: false, account };
    const bench = await benchOf(request);
    return bench ? { name: `bench ${bench.name}`, holders: ["bench"], isOpen: false, account: null } : nobody;
  };

  const know: RequestHandler = async (request, _response, next) => {
    visitors.set(request, await visitorFrom(request));
    next();
  };

  const tokenOf = async (request: Request, need: Need): Promise<Visitor | null> => {
    const holder = (["source", "calendar"] as const).find((each) => (rights[need] as readonly string[]).includes(each));
    const secret = holder ? secretOf(request, holder) : null;
    const token = holder && secret ? await usedToken(holder, secret) : null;
    return holder && token ? { name: `${holder} ${token.name}`, holders: [holder], isOpen: false, account: null } : null;
  };

  const require = (need: Need): RequestHandler => {
    if (!(need in rights)) throw new Error(`no row of the table of rights is called ${need}`);
    return asNeeding(need, async (request, response, next) => {
      const byToken = await tokenOf(request, need);
      if (byToken) visitors.set(request, byToken);
      const { holders, name, isOpen } = visitor(request);
      if (hasRight(holders, need)) return next();
      // Whoever has no token is not known to a route that knows tokens only, whoever else they are.
      const isKnown = !isForTokens(need) && (name !== null || isOpen);
      if (!isKnown && isForReading(request)) return toSignIn(request, response);
      if (!isKnown) throw new WebError(401, { field: "account", value: null, expected: signInHint(need) });
      throw new WebError(403, {
        field: request.baseUrl + request.path,
        value: null,
        expected: `one of ${rights[need].join(", ")}`,
      });
    });
  };

  return {
    admit: [onlyOurs, sessions, know].map((handler) => asNeeding("anyone", handler)),
    visitor,
    require,
    isBoards: (request, command) => isBoards(visitor(request).holders, command.need),
    hearsOfLog: (request) => visitor(request).holders.some((holder) => holder !== "board"),
    fit: (answer, command, request) =>
      command.forBoard !== "same" && isBoards(visitor(request).holders, command.need) ? refuseMembersIn(answer) : answer,
    endWithVisit: (need) =>
      asNeeding(need, (request, response, next) => {
        const again = setInterval(async () => {
          // Where the visit can't be looked up (it is gone, or the store is closing) nothing more is told.
          const stands = await stillStands(request).catch(() => false);
          if (!stands) response.end();
        }, lookAgainMs);
        response.on("close", () => clearInterval(again));
        next();

        async function stillStands(request: Request): Promise<boolean> {
          await new Promise<void>((done, fail) =>
            request.session?.account ? request.session.reload((error) => (error ? fail(error) : done())) : done(),
          );
          return hasRight((await visitorFrom(request)).holders, need);
        }
      }),
    pages: accessPages({ store, visitor, require, workshopName, now, cost }),
  };
}

/** What the page may know of who looks at it. */
export const visitorAsJson = ({ name, holders, isOpen, account }: Visitor): Record<string, unknown> => ({
  name,
  roles: holders,
  rights: needs.filter((need) => hasRight(holders, need)),
  isOpen,
  hasSecondFactor: account === null ? null : account.factor !== null,
});

async function cookieSecret(store: Store): Promise<string> {
  return inTurn(store, async (connection) => {
    const kept = await noteOfStore(connection, "cookie-secret");
    if (kept !== null) return kept;
    const made = randomBytes(32).toString("base64url");
    await keepNote(connection, "cookie-secret", made);
    return made;
  });
}

/** Tokens come in the header; a calendar program may have only an address to put it in. */
function secretOf(request: Request, purpose: Purpose): string | null {
  const bearer = /^Bearer +([\w-]+)$/i.exec(request.get("authorization") ?? "")?.[1];
  if (bearer) return bearer;
  const { token } = request.query;
  return purpose === "calendar" && typeof token === "string" ? token : null;
}

const isForReading = (request: Request): boolean =>
  request.method === "GET" && !request.originalUrl.startsWith("/api/") && request.accepts(["json", "html"]) === "html";

const isForTokens = (need: Need): boolean => rights[need].every((holder) => holder === "source" || holder === "calendar");

const signInHint = (need: Need): string =>
  (rights[need] as readonly string[]).includes("source") ? "a token of a source" : "somebody signed in";

/**
 * A link in a letter comes without the cookie (it is SameSite=Strict), so a signed-in reader would be asked to sign in again: the
 * page asks once more by itself, now as ours.
 */
function toSignIn(request: Request, response: Response): void {
  response.set("cache-control", "no-store");
  if (request.get("sec-fetch-site") === "cross-site") {
    response
      .set("refresh", "0")
      .type("html")
      .send('<!doctype html><html lang="en"><title>One moment</title><p>One moment.</p></html>');
    return;
  }
  response.redirect(303, `/sign-in?to=${encodeURIComponent(request.originalUrl)}`);
}
