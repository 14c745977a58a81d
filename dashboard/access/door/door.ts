// What every handler at the door needs: the store, the clock, and a few sure moves with a visit.
import type { Request, RequestHandler } from "express";
import type { Store } from "../../../shared/store.ts";
import type { Visitor } from "../access.ts";
import type { Cost } from "../password.ts";
import type { Need } from "../rights.ts";
import { countTry } from "../tries.ts";
import { inTurn } from "../turn.ts";

export interface Door {
  store: Store;
  visitor(request: Request): Visitor;
  require(need: Need): RequestHandler;
  workshopName: () => Promise<string>;
  now: () => Date;
  cost: Cost;
}

/** One field of a form; "" where it is missing or comes twice. */
export const typed = (request: Request, name: string): string => {
  const value = (request.body as Record<string, unknown> | undefined)?.[name];
  return typeof value === "string" ? value : "";
};

/** A one-time code from the address of a link. */
export const codeOf = (request: Request): string => (typeof request.query.code === "string" ? request.query.code : "");

/** A new id for the visit, so that one known to somebody else is worth nothing. */
export const renewVisit = (request: Request): Promise<void> =>
  new Promise((done, fail) => request.session.regenerate((error) => (error ? fail(error) : done())));

export const saveVisit = (request: Request): Promise<void> =>
  new Promise((done, fail) => request.session.save((error) => (error ? fail(error) : done())));

export const endVisit = (request: Request): Promise<void> =>
  new Promise((done, fail) => request.session.destroy((error) => (error ? fail(error) : done())));

/** Counts a try on this account from this address; 0, or the milliseconds until the next one is looked at. */
export const tryOn = ({ store, now }: Door, name: string, request: Request): Promise<number> =>
  inTurn(store, (connection) => countTry(connection, name, request.ip ?? "", now()));

/** A place of ours to go on to; `/` for anything that is none. */
export function placeWithin(to: string): string {
  const here = "http://here.invalid";
  if (!to.startsWith("/") || to.startsWith("//") || to.includes("\\")) return "/";
  const url = new URL(to, here);
  return url.origin === here ? `${url.pathname}${url.search}` : "/";
}

export const waitText = (wait: number): string => {
  const seconds = Math.ceil(wait / 1000);
  const time = seconds < 90 ? `${seconds} seconds` : `${Math.ceil(seconds / 60)} minutes`;
  return `There were too many tries. Wait ${time}, then try once more.`;
};
