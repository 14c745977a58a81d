// Who is at the door: turns a request into a visitor, refuses what the visitor has no right to, and fits answers to them.
import type { Request, RequestHandler } from "express";
import type { Answer, Command } from "../commands/command.ts";
import { WebError } from "../server/problem.ts";
import { hasRight, type Need, type Role, rights, roles } from "./rights.ts";

export interface Visitor {
  /** The account's name, null where nobody signed in. */
  readonly name: string | null;
  readonly roles: readonly Role[];
}

export interface Access {
  visitor(request: Request): Visitor;
  require(need: Need): RequestHandler;
  /** The answer as this visitor may see it. */
  fit(answer: Answer, command: Command, request: Request): Answer;
}

/** Without any account whoever sits at this computer is the steward; the server listens on loopback only. */
export function openAccess(): Access {
  const visitor: Visitor = { name: null, roles };
  return {
    visitor: () => visitor,
    require: (need) => (request, _response, next) => {
      if (!hasRight(visitor.roles, need))
        throw new WebError(403, { field: request.path, value: null, expected: `one of ${rights[need].join(", ")}` });
      next();
    },
    fit: (answer) => answer,
  };
}
