// The web application: host check, headers, the API, live changes, the pages.
import compression from "compression";
import express, { type Express, type Request, type RequestHandler, type Response } from "express";
import { rateLimit } from "express-rate-limit";
import helmet from "helmet";
import { type Access, visitorAsJson } from "../access/access.ts";
import { type Exposure, namesOf } from "../access/exposure.ts";
import { asNeeding, needsOfRoutes, refuseUndeclared } from "../access/guards.ts";
import { onlyNamedProxy } from "../access/proxy.ts";
import { needsOf } from "../access/rights.ts";
import { calendarRoute } from "../calendar/route.ts";
import type { Command } from "../commands/command.ts";
import { eventsRoute } from "../live/events-route.ts";
import type { Intake } from "../live/intake.ts";
import type { Holder } from "../run.ts";
import { apiRouter, pathOfCommand } from "./api.ts";
import { askerInProcess } from "./ask-in-process.ts";
import { onlyHosts } from "./hosts.ts";
import { leavesRouter } from "./leaves.ts";
import { logUpload } from "./log-upload.ts";
import { openApi } from "./openapi.ts";
import { problem, tellErrors } from "./problem.ts";
import type { ChangeStream } from "./stream.ts";

export interface AppSettings {
  holder: Holder;
  commands: readonly Command[];
  access: Access;
  workshop: string;
  exposure: Exposure;
  stream: ChangeStream;
  intake: Intake;
  log: (line: string) => void;
  /** From one address; a test that tries every route asks more. */
  requestsPerMinute?: number;
}

const arrow = "application/vnd.apache.arrow.stream";
const usualRequestsPerMinute = 1_200;

/** Throws for a command or a route that names no need of the table of rights. */
export function makeApp({
  holder,
  commands,
  access,
  workshop,
  exposure,
  stream,
  intake,
  log,
  requestsPerMinute = usualRequestsPerMinute,
}: AppSettings): Express {
  refuseUndeclared(commands);
  const app = express();
  app.disable("x-powered-by");
  app.set("trust proxy", exposure.proxy === null ? false : ["loopback", ...exposure.proxyFrom]);
  const beforeAll = (handler: RequestHandler) => app.use(asNeeding("anyone", handler));
  beforeAll(onlyHosts(namesOf(exposure)));
  beforeAll(onlyNamedProxy(exposure));
  beforeAll(
    helmet({
      contentSecurityPolicy: {
        useDefaults: false,
        directives: {
          defaultSrc: ["'self'"],
          scriptSrc: ["'self'"],
          styleSrc: ["'self'"],
          imgSrc: ["'self'", "data:", "blob:"],
          objectSrc: ["'none'"],
          baseUri: ["'none'"],
          formAction: ["'self'"],
          frameAncestors: ["'none'"],
        },
      },
      // On plain HTTP it would send a browser in the workshop's network to an address that nobody answers.
      strictTransportSecurity: exposure.tls === null ? false : { maxAge: 31_536_000, includeSubDomains: false },
    }),
  );
  beforeAll(
    rateLimit({
      windowMs: 60_000,
      limit: requestsPerMinute,
      standardHeaders: "draft-8",
      legacyHeaders: false,
      handler: (_request, response) =>
        problem(response, 429, { field: "requests", value: null, expected: `at most ${requestsPerMinute} a minute` }),
    }),
  );
  beforeAll(
    compression({
      level: 1,
      filter: (request, response) => response.getHeader("content-type") === arrow || compression.filter(request, response),
    }),
  );
  for (const handler of access.admit) beforeAll(handler);
  app.get("/api/v1/visitor", access.require("anyone"), (request, response) => {
    response.set("cache-control", "no-store").json(visitorAsJson(access.visitor(request)));
  });
  app.get("/api/v1/openapi.json", access.require("come-in"), (_request, response) => {
    response.json(openApi(commands, pathOfCommand));
  });
  app.get("/api/v1/stream", access.require("come-in"), access.endWithVisit("come-in"), stream.handler);
  app.post(
    "/api/v1/events",
    access.require("send-events"),
    ...eventsRoute(intake, (request) => access.visitor(request).name ?? "source"),
  );
  app.post("/api/v1/setup/log", access.require("do-setup"), logUpload(holder.store));
  app.use(
    "/api/v1",
    apiRouter({ holder, commands, access, workshop, onChange: (command) => stream.tell({ kind: "store", by: command }) }),
  );
  app.get("/calendar.ics", access.require("see-calendar"), calendarRoute({ holder, commands, workshop }));
  app.use(access.pages);
  app.use(
    leavesRouter({
      guard: access.require("come-in"),
      asker: (request, signal) => askerInProcess({ holder, commands, access, workshop }, request, signal),
      may: (request) => needsOf(access.visitor(request).holders),
      who: (request) => access.visitor(request).account?.name ?? null,
      log,
    }),
  );
  app.use(
    access.require("come-in"),
    asNeeding("come-in", (request: Request, response: Response) =>
      problem(response, 404, { field: "address", value: request.path, expected: "an address of this server" }),
    ),
  );
  app.use(asNeeding("anyone", tellErrors(log)));
  needsOfRoutes(app);
  return app;
}
