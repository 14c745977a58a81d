// The commands at /api/v1/<command>: options as query parameters (or a JSON body), the answer in the form the reader accepts.
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import express, { type Request, type Response, type Router } from "express";
import { UsageError } from "../../shared/errors.ts";
import { arrowFromRelation, csvFromRelation, relationFromRows } from "../../shared/relation.ts";
import type { Access } from "../access/access.ts";
import { asNeeding } from "../access/guards.ts";
import type { Answer, Command } from "../commands/command.ts";
import { quiet } from "../progress.ts";
import { jsonFromAnswer } from "../render.ts";
import { type Holder, runCommand } from "../run.ts";
import { problem, WebError } from "./problem.ts";

export interface ApiSettings {
  holder: Holder;
  commands: readonly Command[];
  access: Access;
  /** The workshop file that every answer is about; a reader can't name another, nor another store. */
  workshop: string;
  /** Called after a command that may have changed the store. */
  onChange: (command: string) => void;
}

const forms = ["application/json", "text/csv", "application/vnd.apache.arrow.stream"] as const;
const bodyLimit = "1mb";

export function apiRouter(settings: ApiSettings): Router {
  const router = express.Router();
  const methods = new Map<string, Set<string>>();
  for (const command of settings.commands) {
    if (!command.http) continue;
    const path = pathOfCommand(command);
    methods.set(path, (methods.get(path) ?? new Set()).add(command.http));
    const answer = (request: Request, response: Response) => serveCommand(command, request, response, settings);
    if (command.http === "GET") router.get(path, settings.access.require(command.need), answer);
    else router.post(path, settings.access.require(command.need), express.json({ limit: bodyLimit }), answer);
  }
  for (const [path, allowed] of methods) {
    router.all(path, settings.access.require("come-in"), (request, response) => {
      response.set("allow", [...allowed].join(", "));
      problem(response, 405, { field: "method", value: request.method, expected: [...allowed].join(" or ") });
    });
  }
  router.use(
    settings.access.require("come-in"),
    asNeeding("come-in", (request: Request, response: Response) =>
      problem(response, 404, { field: "command", value: request.path, expected: [...methods.keys()].join(", ") }),
    ),
  );
  return router;
}

/** `service add` and `service list` share an address and differ in method; operands that name a thing are part of the path. */
export const pathOfCommand = (command: Command): string => `/${command.path ?? command.name.split(" ")[0]}`;

async function serveCommand(command: Command, request: Request, response: Response, settings: ApiSettings): Promise<void> {
  const form = request.accepts([...forms]);
  if (!form) throw new WebError(415, { field: "accept", value: request.headers.accept ?? null, expected: forms.join(", ") });
  const stop = new AbortController();
  response.on("close", () => stop.abort());
  const given = command.http === "GET" ? request.query : command.readsStdin ? {} : (request.body as object);
  const answer = await runCommand(
    command,
    { ...optionsFromQuery({ ...given, ...request.params }), workshop: settings.workshop, store: settings.holder.store.path },
    {
      cwd: process.cwd(),
      stdin: async () => (command.readsStdin ? JSON.stringify(request.body ?? {}) : ""),
      progress: quiet,
      signal: stop.signal,
      who: settings.access.visitor(request).name ?? "this computer",
      isForBoard: settings.access.isBoards(request, command),
      asOfDefault: "now",
      commands: settings.commands,
    },
    settings.holder,
  );
  // A null trail says that nothing happened.
  if (command.needs === "writes" && answer.trail !== null) settings.onChange(command.name);
  await send(settings.access.fit(answer, command, request), form as (typeof forms)[number], response);
}

/** They name files of this computer, or change what a GET must leave as it is. */
const reserved = new Set(["workshop", "store", "json", "profile", "again"]);

function optionsFromQuery(query: Record<string, unknown>): Record<string, unknown> {
  const options: Record<string, unknown> = {};
  for (const [name, value] of Object.entries(query)) {
    const key = name.replace(/-(\w)/g, (_, letter: string) => letter.toUpperCase());
    if (reserved.has(key)) throw new UsageError({ field: name, value, expected: "not to be set over the web" });
    options[key] = value;
  }
  return options;
}

async function send(answer: Answer, form: (typeof forms)[number], response: Response): Promise<void> {
  response.set("cache-control", "no-store");
  if (form === "application/json") {
    response.json(jsonFromAnswer(answer));
    return;
  }
  const list = answer.list ?? { rows: [answer.head] };
  const relation = "relation" in list ? list.relation : relationFromRows(list.rows);
  response.type(form);
  const parts = form === "text/csv" ? csvFromRelation(relation) : arrowFromRelation(relation);
  try {
    await pipeline(Readable.from(parts, { objectMode: false, highWaterMark: 1 << 18 }), response);
  } catch (error) {
    // The reader went away in the middle: nobody is left to tell.
    if ((error as NodeJS.ErrnoException).code !== "ERR_STREAM_PREMATURE_CLOSE") throw error;
  }
}
