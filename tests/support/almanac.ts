// The built command line, as a user runs it, in a folder of its own.
import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

export const root = fileURLToPath(new URL("../..", import.meta.url));
const entry = join(root, "dist/dashboard/cli.js");

export interface Ran {
  code: number | null;
  out: string;
  err: string;
  // biome-ignore lint/suspicious/noExplicitAny: answers are checked by the assertions that read them
  json: any;
  seconds: number;
}

export interface Running {
  child: ChildProcess;
  ended: Promise<Ran>;
}

/** A new empty folder, removed by the returned `remove`. */
export function emptyFolder(): { path: string; remove(): void } {
  const path = mkdtempSync(join(tmpdir(), "almanac-test-"));
  return { path, remove: () => rmSync(path, { recursive: true, force: true }) };
}

/** Starts the command; the caller may kill it. */
export function start(cwd: string, args: string[], input = ""): Running {
  if (!existsSync(entry)) throw new Error(`${entry} is not there: run 'npm run build' first`);
  const began = Date.now();
  const child = spawn(process.execPath, [entry, ...args], { cwd, env: { ...process.env, NO_COLOR: "1" } });
  const parts = { out: "", err: "" };
  child.stdout.setEncoding("utf8").on("data", (text: string) => {
    parts.out += text;
  });
  child.stderr.setEncoding("utf8").on("data", (text: string) => {
    parts.err += text;
  });
  child.stdin.on("error", () => undefined).end(input);
  const ended = new Promise<Ran>((done) => {
    child.on("close", (code) => done({ code, ...parts, json: jsonOrNull(parts.out), seconds: (Date.now() - began) / 1000 }));
  });
  return { child, ended };
}

/** Runs the command to its end. */
export const almanac = (cwd: string, args: string[], input = ""): Promise<Ran> => start(cwd, args, input).ended;

function jsonOrNull(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

/** Starts `serve` (or `demo`) on a free port and waits for its one line. */
export async function served(cwd: string, args: string[]): Promise<Running & { address: string }> {
  const running = start(cwd, [...args, "--port", "0"]);
  const address = await new Promise<string>((done, fail) => {
    running.child.stdout?.on("data", (text: string) => {
      const found = /https?:\/\/\S+/.exec(text)?.[0];
      if (found) done(found);
    });
    void running.ended.then(({ code, err }) => fail(new Error(`ended with ${code} before it served: ${err}`)));
  });
  return { ...running, address };
}
