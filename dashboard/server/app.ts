// The web application: host check, headers, the API, live changes, the pages.
import compression from "compression";
import express, { type Express } from "express";
import { rateLimit } from "express-rate-limit";
import helmet from "helmet";
import type { Access } from "../access/access.ts";
import { needsOf } from "../access/rights.ts";
import type { Command } from "../commands/command.ts";
import type { Holder } from "../run.ts";
import { apiRouter } from "./api.ts";
import { askerInProcess } from "./ask-in-process.ts";
import { onlyHosts } from "./hosts.ts";
import { leavesRouter } from "./leaves.ts";
import { problem, tellErrors } from "./problem.ts";
import type { ChangeStream } from "./stream.ts";

export interface AppSettings {
  holder: Holder;
  commands: readonly Command[];
  access: Access;
  workshop: string;
  hosts: readonly string[];
  stream: ChangeStream;
  log: (line: string) => void;
}

const arrow = "application/vnd.apache.arrow.stream";
const requestsPerMinute = 1_200;

export function makeApp({ holder, commands, access, workshop, hosts, stream, log }: AppSettings): Express {
  const app = express();
  app.disable("x-powered-by");
  app.use(onlyHosts(hosts));
  app.use(
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
      strictTransportSecurity: false,
    }),
  );
  app.use(
    rateLimit({
      windowMs: 60_000,
      limit: requestsPerMinute,
      standardHeaders: "draft-8",
      legacyHeaders: false,
      handler: (_request, response) =>
        problem(response, 429, { field: "requests", value: null, expected: `at most ${requestsPerMinute} a minute` }),
    }),
  );
  app.use(
    compression({
      level: 1,
      filter: (request, response) => response.getHeader("content-type") === arrow || compression.filter(request, response),
    }),
  );
  app.get("/api/v1/stream", access.require("see-use"), stream.handler);
  app.use(
    "/api/v1",
    apiRouter({ holder, commands, access, workshop, onChange: (command) => stream.tell({ kind: "store", by: command }) }),
  );
  app.use(
    leavesRouter({
      asker: (request, signal) => askerInProcess({ holder, commands, access, workshop }, request, signal),
      may: (request) => needsOf(access.visitor(request).roles),
      log,
    }),
  );
  app.use((request, response) =>
    problem(response, 404, { field: "address", value: request.path, expected: "an address of this server" }),
  );
  app.use(tellErrors(log));
  return app;
}
