// Hands a command to the process that holds the store, and prints what it answers.
import { existsSync, readFileSync } from "node:fs";
import type { IncomingMessage } from "node:http";
import { request as httpRequest } from "node:http";
import { createInterface } from "node:readline";
import { commandNamed, type Surroundings } from "../commands/command.ts";
import { toldText } from "../render.ts";
import { type Note, noteFile } from "./place.ts";
import type { Say, Spoken } from "./spoken.ts";

/** The holder speaks at least every two seconds; silence for longer than this means that it is gone. */
const silenceMs = 8_000;

/** One line of the holder's answer. */
export type Spoke =
  | { out: string; err: string }
  | { done: number; total: number; what: string }
  | { exit: number }
  | { beat: true };

/**
 * Gives the exit code, or null where nobody holds the store (any more). If the holder dies meanwhile the code is 1, since
 * nothing tells whether all was stored.
 */
export async function handOver(store: string, spoken: Spoken, surroundings: Surroundings, say: Say): Promise<number | null> {
  const note = noteOf(store);
  if (!note) return null;
  const stdin = commandNamed(surroundings.commands, spoken.name).readsStdin ? await surroundings.stdin() : "";
  const response = await ask(note, { spoken, cwd: surroundings.cwd, stdin }, surroundings.signal);
  if (!response) return null;
  try {
    for await (const line of createInterface({ input: response, crlfDelay: Number.POSITIVE_INFINITY })) {
      const spoke = JSON.parse(line) as Spoke;
      if ("exit" in spoke) return spoke.exit;
      if ("what" in spoke) surroundings.progress.update(spoke.done, spoke.total, spoke.what);
      if ("out" in spoke) {
        surroundings.progress.end();
        await say(spoke.out, spoke.err);
      }
    }
  } catch {
    // Told below: the line broke before the exit code came.
  }
  surroundings.progress.end();
  const complaint = {
    field: "store",
    value: store,
    expected: "the process that holds the store to go on",
    message: `the process that held ${store} went away before it had finished; run the command again`,
  };
  const { out, err } = toldText({ complaint, exitCode: 1 }, spoken.options.json === true);
  await say(out, err);
  return 1;
}

function noteOf(store: string): Note | null {
  const file = noteFile(store);
  return existsSync(file) ? (JSON.parse(readFileSync(file, "utf8")) as Note) : null;
}

function ask(note: Note, body: object, signal: AbortSignal): Promise<IncomingMessage | null> {
  return new Promise((done, fail) => {
    const request = httpRequest(
      {
        socketPath: note.socket,
        path: "/run",
        method: "POST",
        headers: { "content-type": "application/json" },
        timeout: silenceMs,
        signal,
      },
      done,
    );
    request.on("timeout", () => request.destroy(new Error("the holder of the store fell silent")));
    request.on("error", (error: NodeJS.ErrnoException) => {
      if (error.code === "ENOENT" || error.code === "ECONNREFUSED") done(null);
      else fail(error);
    });
    request.end(JSON.stringify(body));
  });
}
