// Live changes as server-sent events: each open page learns what changed and fetches just that.
import type { Request, RequestHandler, Response } from "express";

const pingMs = 20_000;

/** What changed: `store` carries the command that did it. */
export interface Change {
  kind: "store" | "workshop";
  by: string;
  at: string;
}

export interface ChangeStream {
  handler: RequestHandler;
  tell(change: Omit<Change, "at">): void;
  close(): void;
}

/**
 * `hears` says whether a reader is told of a kind of change, and so of how many there were: how often the store changes tells how
 * often somebody badges in.
 */
export function changeStream(hears: (request: Request, kind: Change["kind"]) => boolean = () => true): ChangeStream {
  const readers = new Map<Response, Request>();
  let count = 0;
  const idFor = (request: Request): string => (hears(request, "store") ? `id: ${count}\n` : "");
  return {
    handler(request, response) {
      response.writeHead(200, { "content-type": "text/event-stream", "cache-control": "no-cache, no-transform" });
      response.write(`retry: 2000\n${idFor(request)}event: hello\ndata: {}\n\n`);
      readers.set(response, request);
      const ping = setInterval(() => response.write(": still here\n\n"), pingMs);
      request.on("close", () => {
        clearInterval(ping);
        readers.delete(response);
      });
    },
    tell(change) {
      count += 1;
      const data = JSON.stringify({ ...change, at: new Date().toISOString() });
      for (const [reader, request] of readers)
        if (hears(request, change.kind)) reader.write(`${idFor(request)}event: change\ndata: ${data}\n\n`);
    },
    close() {
      for (const reader of readers.keys()) reader.end();
      readers.clear();
    },
  };
}
