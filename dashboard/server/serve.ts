// Holds the store and serves it: web pages, API and handed-over commands, until told to stop.
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { FailedError, openStore } from "../../shared/index.ts";
import { openAccess } from "../access/access.ts";
import type { Command } from "../commands/command.ts";
import { takeWork } from "../handoff/server.ts";
import { makeApp } from "./app.ts";
import { loopbackNames } from "./hosts.ts";
import { changeStream } from "./stream.ts";

export interface ServeSettings {
  store: string;
  commands: readonly Command[];
  workshop: string;
  port: number;
  host: string;
  log: (line: string) => void;
}

export interface Served {
  address: string;
  close(): Promise<void>;
}

/** Throws FailedError where the store is held or the port is taken. */
export async function serve({ store: path, commands, workshop, port, host, log }: ServeSettings): Promise<Served> {
  const store = await openStore(path);
  const holder = { store };
  const stream = changeStream();
  try {
    const app = makeApp({ holder, commands, access: openAccess(), workshop, hosts: loopbackNames, stream, log });
    const server = createServer(app);
    await new Promise<void>((done, fail) => {
      server.once("error", (error: NodeJS.ErrnoException) => {
        const expected =
          error.code === "EADDRINUSE"
            ? "a port that nobody listens on; --port 0 takes a free one"
            : `a port that can be opened (${error.message})`;
        fail(new FailedError({ field: "port", value: port, expected }, error));
      });
      server.listen(port, host, done);
    });
    const work = await takeWork(holder, commands, () => stream.tell({ kind: "store", by: "command line" }));
    const taken = (server.address() as AddressInfo).port;
    return {
      address: `http://${host.includes(":") ? `[${host}]` : host}:${taken}/`,
      async close() {
        stream.close();
        await work.close();
        server.closeAllConnections();
        await new Promise((done) => server.close(done));
        store.close();
      },
    };
  } catch (error) {
    store.close();
    throw error;
  }
}
