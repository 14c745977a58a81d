// The pages: every address that is no file and not the API is a leaf, sent with its numbers in it.
import express, { type Request, type RequestHandler, type Response, type Router } from "express";
import { FailedError, sentenceFromComplaint, UsageError } from "../../shared/errors.ts";
import { asNeeding } from "../access/guards.ts";
import type { Need } from "../access/rights.ts";
import { type Asker, documentOf, loadPage, localeFromAccept, troubleDocument } from "../pages/index.ts";
import { builtAddress, builtPages } from "./pages-built.ts";

export interface LeavesSettings {
  /** Lets through who may see pages at all. */
  guard: RequestHandler;
  /** Asks in the name of whoever sent the request, and stops when they have gone. */
  asker(request: Request, signal: AbortSignal): Asker;
  may(request: Request): readonly Need[];
  /** The account that is signed in, where there are accounts. */
  who(request: Request): string | null;
  log(line: string): void;
}

const statusOf = { shown: 200, unset: 200, empty: 200, absent: 404, refused: 403 } as const;

export function leavesRouter({ guard, asker, may, who, log }: LeavesSettings): Router {
  const built = builtPages();
  const router = express.Router();
  router.use(
    builtAddress,
    // Scripts and styles hold nothing of the workshop.
    asNeeding(
      "anyone",
      express.static(built.folder, {
        index: false,
        setHeaders: (response, path) => {
          response.setHeader("cache-control", path.includes("/assets/") ? "public, max-age=31536000, immutable" : "no-cache");
          if (path.endsWith("offline.js")) response.setHeader("service-worker-allowed", "/service");
        },
      }),
    ),
    asNeeding("anyone", (_request: Request, response: Response) => {
      response.status(404).type("text/plain").send("nothing is here\n");
    }),
  );
  router.get("/{*path}", guard, async (request: Request, response: Response) => {
    const stop = new AbortController();
    response.on("close", () => stop.abort());
    response.set("cache-control", "no-store").type("html");
    try {
      const page = await loadPage(asker(request, stop.signal), {
        path: request.path,
        query: singleValues(request.query),
        locale: localeFromAccept(request.headers["accept-language"]),
        may: may(request),
        who: who(request),
      });
      response
        .status(page.outcome === "unset" && page.calendar.trouble ? 500 : statusOf[page.outcome])
        .send(documentOf(page, built));
    } catch (error) {
      if (stop.signal.aborted) return;
      log(`GET ${request.path}: ${error instanceof Error ? (error.stack ?? error.message) : error}`);
      response.status(500).send(troubleDocument(sentenceOf(error), built));
    }
  });
  return router;
}

/** Names given more than once keep their last value; nothing here takes a list. */
const singleValues = (query: Request["query"]): Record<string, string> =>
  Object.fromEntries(Object.entries(query).map(([name, value]) => [name, String(Array.isArray(value) ? value.at(-1) : value)]));

function sentenceOf(error: unknown): string {
  if (error instanceof UsageError || error instanceof FailedError) return sentenceFromComplaint(error.complaint);
  return "It failed on our side; the server's log has the details.";
}
