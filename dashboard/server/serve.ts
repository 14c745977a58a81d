// Holds the store and serves it: web pages, API and handed-over commands, until told to stop.
import { createServer } from "node:http";
import { createServer as createSecureServer } from "node:https";
import type { AddressInfo } from "node:net";
import { FailedError, openStore } from "../../shared/index.ts";
import { makeAccess } from "../access/access.ts";
import { loadAccounts } from "../access/accounts.ts";
import { type Exposure, isPrivate, refuseExposed } from "../access/exposure.ts";
import { look } from "../access/turn.ts";
import type { Command } from "../commands/command.ts";
import { takeWork } from "../handoff/server.ts";
import { startKeeping } from "../keeping/nightly.ts";
import { rewriteWhereDue } from "../keeping/rewrite.ts";
import { followWorkshop } from "../live/follow-workshop.ts";
import { makeIntake } from "../live/intake.ts";
import { soundOrBlank } from "../run.ts";
import { startTelling, type Teller } from "../telling/teller.ts";
import { makeApp } from "./app.ts";
import { changeStream } from "./stream.ts";

export interface ServeSettings {
  store: string;
  commands: readonly Command[];
  workshop: string;
  port: number;
  exposure: Exposure;
  log: (line: string) => void;
}

export interface Served {
  address: string;
  /** Nobody has an account: whoever sits at this computer may see and do everything. */
  isOpen: boolean;
  close(): Promise<void>;
}

/** Throws UsageError where nobody would be asked who they are, FailedError where the store is held or the port is taken. */
export async function serve({ store: path, commands, workshop, port, exposure, log }: ServeSettings): Promise<Served> {
  const store = await openStore(path);
  const holder = { store };
  const { host, tls } = exposure;
  try {
    if (await rewriteWhereDue(store)) log("the store was written anew, so that nothing of the forgotten is left in it");
    const accounts = await look(store, loadAccounts);
    refuseExposed(
      exposure,
      accounts.some(({ roles }) => roles.includes("steward")),
    );
    const workshopName = async () => soundOrBlank(workshop).workshop.workshop.name;
    const access = await makeAccess({ store, exposure, workshopName });
    const stream = changeStream((request, kind) => kind !== "store" || access.hearsOfLog(request));
    // Begun once the port is ours; what comes in before is looked at then.
    let teller: Teller | null = null;
    const intake = makeIntake(store, workshop, (touched) => {
      stream.tell({ kind: "store", by: "a live source" });
      if (touched) teller?.afterDelivery(touched);
    });
    const app = makeApp({ holder, commands, access, workshop, exposure, stream, intake, log });
    const server = tls ? createSecureServer(tls, app) : createServer(app);
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
    const following = followWorkshop(workshop, intake, log, () => stream.tell({ kind: "workshop", by: "the workshop file" }));
    const telling = startTelling({ store, workshop, log });
    teller = telling;
    const keeping = startKeeping({ store, workshop, log });
    const taken = (server.address() as AddressInfo).port;
    return {
      address: `${tls ? "https" : "http"}://${host.includes(":") ? `[${host}]` : host}:${taken}/`,
      isOpen: accounts.length === 0 && isPrivate(exposure),
      async close() {
        await keeping.close();
        await telling.close();
        await following.close();
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
