// POST /api/v1/events: a source with a token sends NDJSON and is told what became of each line.
import express, { type RequestHandler } from "express";
import { rateLimit } from "express-rate-limit";
import { z } from "zod";
import { optionsFrom } from "../options.ts";
import { problem, WebError } from "../server/problem.ts";
import type { Intake } from "./intake.ts";

/** A batch of some ten thousand lines; a source with more sends more batches. */
const bodyLimit = "1mb";
const batchesPerMinute = 120;

const query = z.object({
  profile: z
    .string()
    .regex(/^[\w-][\w.-]*\.ya?ml$/, "a profile's file name beside the workshop file")
    .optional(),
});

/** `nameOf` gives the source's name by its token. */
export function eventsRoute(intake: Intake, nameOf: (request: Parameters<RequestHandler>[0]) => string): RequestHandler[] {
  return [
    rateLimit({
      windowMs: 60_000,
      limit: batchesPerMinute,
      standardHeaders: "draft-8",
      legacyHeaders: false,
      keyGenerator: nameOf,
      handler: (_request, response) =>
        problem(response, 429, {
          field: "events",
          value: null,
          expected: `at most ${batchesPerMinute} batches a minute from one source`,
        }),
    }),
    express.text({ type: () => true, limit: bodyLimit }),
    async (request, response) => {
      const { profile } = optionsFrom(query, request.query);
      const lines = typeof request.body === "string" ? request.body : "";
      if (lines.trim() === "") throw new WebError(422, { field: "body", value: "", expected: "lines of NDJSON" });
      const { touched: _, ...account } = await intake.batch({ name: nameOf(request), lines, profile });
      if (account.rejected === account.lines) {
        throw new WebError(422, {
          field: "body",
          value: lines.slice(0, 80),
          expected: `lines as the profile reads them; all ${account.lines} were rejected, and the Log says why`,
        });
      }
      response.set("cache-control", "no-store").json({ files: [account] });
    },
  ];
}
