// The holder's side: takes commands over the local socket and answers exactly as the command line would.
import { chmodSync, rmSync } from "node:fs";
import { createServer, type Server } from "node:http";
import { json } from "node:stream/consumers";
import writeFileAtomic from "write-file-atomic";
import type { Command, Surroundings } from "../commands/command.ts";
import type { Holder } from "../run.ts";
import type { Spoke } from "./client.ts";
import { type Note, noteFile, socketPath } from "./place.ts";
import { runSpoken, type Spoken } from "./spoken.ts";

const beatMs = 2_000;

interface Body {
  spoken: Spoken;
  cwd: string;
  stdin: string;
}

/** Listens until `close()`; the note beside the store goes with it. Only this system's user can reach the socket. */
export async function takeWork(
  holder: Holder,
  commands: readonly Command[],
  onWork: () => void,
): Promise<{ close(): Promise<void> }> {
  const { path, workDir } = holder.store;
  const socket = socketPath(path, workDir);
  chmodSync(workDir, 0o700);
  rmSync(socket, { force: true });
  const server: Server = createServer(async (request, response) => {
    const stop = new AbortController();
    response.on("close", () => stop.abort());
    response.writeHead(200, { "content-type": "application/x-ndjson" });
    const speak = (spoke: Spoke): Promise<void> =>
      new Promise((done) => response.write(`${JSON.stringify(spoke)}\n`, () => done()));
    const beat = setInterval(() => void speak({ beat: true }), beatMs);
    try {
      const { spoken, cwd, stdin } = (await json(request)) as Body;
      const surroundings: Surroundings = {
        cwd,
        stdin: async () => stdin,
        progress: { update: (done, total, what) => void speak({ done, total, what }), end: () => undefined },
        signal: stop.signal,
        who: "command line",
        commands,
        asOfDefault: "last-event",
      };
      const exit = await runSpoken(spoken, surroundings, (out, err) => speak({ out, err }), { holder });
      onWork();
      await speak({ exit });
    } finally {
      clearInterval(beat);
      response.end();
    }
  });
  await new Promise<void>((done, fail) => server.once("error", fail).listen(socket, done));
  if (process.platform !== "win32") chmodSync(socket, 0o600);
  const note: Note = { pid: process.pid, socket, since: new Date().toISOString() };
  await writeFileAtomic(noteFile(path), `${JSON.stringify(note)}\n`, { mode: 0o600 });
  return {
    async close() {
      rmSync(noteFile(path), { force: true });
      server.closeAllConnections();
      await new Promise((done) => server.close(done));
      rmSync(socket, { force: true });
    },
  };
}
