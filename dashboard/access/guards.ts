// Every handler says what it needs; an application with one that doesn't is not started.
import type { Express, RequestHandler, Router } from "express";
import type { Command } from "../commands/command.ts";
import { type Need, rights } from "./rights.ts";

const declared = new WeakMap<object, Need>();

/** Notes what a handler needs. `anyone` is for what goes before all routes and for what shows nothing. */
export function asNeeding<Handler extends object>(need: Need, handler: Handler): Handler {
  declared.set(handler, need);
  return handler;
}

export interface RouteNeed {
  method: string;
  path: string;
  need: Need;
}

interface Layer {
  handle: RequestHandler & { stack?: Layer[] };
  route?: { path: string | string[]; stack: { method?: string; handle: RequestHandler }[] };
  name: string;
}

/**
 * Every route of an application with what it needs: the first handler of a route has to say so, and so has every handler that
 * stands between routes. Throws for one that doesn't.
 */
export function needsOfRoutes(app: Express | Router, at = ""): RouteNeed[] {
  const layers = ((app as Express).router?.stack ?? (app as unknown as { stack: Layer[] }).stack) as unknown as Layer[];
  return layers.flatMap((layer): RouteNeed[] => {
    const need = declared.get(layer.handle);
    if (layer.route) {
      const first = new Map<string, RequestHandler>();
      for (const { method = "all", handle } of layer.route.stack) if (!first.has(method)) first.set(method, handle);
      return [...first].map(([method, handle]) => {
        const path = at + String(layer.route?.path);
        return { method, path, need: declared.get(handle) ?? undeclared(`${method.toUpperCase()} ${path}`) };
      });
    }
    if (need) return [];
    if (layer.handle.stack) return needsOfRoutes(layer.handle as unknown as Router, at);
    return undeclared(`the handler "${layer.name}" under ${at || "/"}`);
  });
}

const undeclared = (what: string): never => {
  throw new Error(`${what} names no need of the table of rights; wrap it in access.require(need)`);
};

/** Throws for a command whose need is in no row of the table, or that the board may ask without an answer made for it. */
export function refuseUndeclared(commands: readonly Command[]): void {
  for (const { name, need, http, forBoard } of commands) {
    if (!(need in rights)) throw new Error(`the command ${name} names no need of the table of rights`);
    if (http && !forBoard && (rights[need] as readonly string[]).includes("board"))
      throw new Error(`the board may ask ${name}, so the command has to say how the board is answered (forBoard)`);
  }
}
