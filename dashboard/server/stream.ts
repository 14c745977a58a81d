// Live changes as server-sent events: each open page learns what changed and fetches just that.
import type { RequestHandler, Response } from "express";

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

export function changeStream(): ChangeStream {
  const readers = new Set<Response>();
  let count = 0;
  return {
    handler(request, response) {
      response.writeHead(200, { "content-type": "text/event-stream", "cache-control": "no-cache, no-transform" });
      response.write(`retry: 2000\nid: ${count}\nevent: hello\ndata: {}\n\n`);
      readers.add(response);
      const ping = setInterval(() => response.write(": still here\n\n"), pingMs);
      request.on("close", () => {
        clearInterval(ping);
        readers.delete(response);
      });
    },
    tell(change) {
      count += 1;
      const data = JSON.stringify({ ...change, at: new Date().toISOString() });
      for (const reader of readers) reader.write(`id: ${count}\nevent: change\ndata: ${data}\n\n`);
    },
    close() {
      for (const reader of readers) reader.end();
      readers.clear();
    },
  };
}
