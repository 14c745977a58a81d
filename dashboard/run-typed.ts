// A typed command, from the caller's terminal: handed over where another process holds the store, else run here.
import { FailedError, isHeld } from "../shared/index.ts";
import type { Command, Surroundings } from "./commands/command.ts";
import { handOver } from "./handoff/client.ts";
import { runSpoken } from "./handoff/spoken.ts";
import type { Typed } from "./program.ts";
import { barProgress, quiet } from "./progress.ts";
import { storePath } from "./run.ts";
import { askSecretTwice } from "./secret-prompt.ts";

const heldPatienceMs = 10_000;
const heldPauseMs = 200;

/** Runs it and prints its answer; gives the exit code. Ctrl-C stops the work and leaves the store as it was. */
export async function runTyped(
  { command, options }: Typed,
  commands: readonly Command[],
  process: NodeJS.Process,
): Promise<number> {
  const stop = new AbortController();
  process.once("SIGINT", () => stop.abort());
  process.once("SIGTERM", () => stop.abort());
  const surroundings: Surroundings = {
    cwd: process.cwd(),
    stdin: () =>
      command.readsStdin === "secret" && process.stdin.isTTY
        ? askSecretTwice({ input: process.stdin, output: process.stderr })
        : textOf(process.stdin),
    progress: process.stderr.isTTY ? barProgress(process.stderr) : quiet,
    signal: stop.signal,
    who: "command line",
    commands,
    asOfDefault: "last-event",
  };
  const terminal = {
    columns: process.stdout.isTTY ? process.stdout.columns : 200,
    colour: Boolean(process.stdout.isTTY) && !process.env.NO_COLOR,
  };
  const say = (out: string, err: string) => Promise.all([written(process.stdout, out), written(process.stderr, err)]);
  const request = { name: command.name, options, terminal };
  if (command.needs === "nothing" && !command.atHolder) return runSpoken(request, surroundings, say);

  const path = storePath(surroundings, options.store);
  const deadline = Date.now() + heldPatienceMs;
  for (;;) {
    const code = await handOver(path, request, surroundings, say);
    if (code !== null) return code;
    try {
      return await runSpoken(request, surroundings, say, { rethrow: isHeld });
    } catch (error) {
      // Held, but by nobody who takes work: another short command, or a server that is just starting.
      if (!(error instanceof FailedError) || Date.now() > deadline) return runSpoken(request, surroundings, say);
      await new Promise((done) => setTimeout(done, heldPauseMs));
    }
  }
}

async function textOf(stream: NodeJS.ReadStream): Promise<string> {
  const parts: Buffer[] = [];
  for await (const part of stream) parts.push(part as Buffer);
  return Buffer.concat(parts).toString("utf8");
}

const written = (stream: NodeJS.WriteStream, text: string): Promise<void> =>
  text === "" ? Promise.resolve() : new Promise((done, fail) => stream.write(text, (error) => (error ? fail(error) : done())));
