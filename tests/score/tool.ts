// The built tool as a user has it: one process a command, answers as JSON.
import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";

const entry = fileURLToPath(new URL("../../dist/dashboard/cli.js", import.meta.url));

export interface Home {
  dir: string;
  workshop: string;
  store: string;
}

/** The command isn't there yet. */
export const notYet = Symbol("not yet");

/** The command's answer. Throws where it fails in any other way than not being there. */
export function almanac<Answer>(home: Home, args: readonly string[]): Answer | typeof notYet {
  const run = spawnSync(
    process.execPath,
    [entry, ...args, "--workshop", home.workshop, "--store", home.store, "--json", "--seed", "1"],
    {
      cwd: home.dir,
      encoding: "utf8",
      maxBuffer: 1 << 29,
      env: { ...process.env, TZ: "Asia/Kathmandu", NO_COLOR: "1" },
    },
  );
  if (run.error !== undefined) throw run.error;
  const answer = jsonFrom(run.stdout);
  if (run.status === 0 && answer !== undefined) return answer as Answer;
  const field = (answer as { error?: { field?: string } } | undefined)?.error?.field;
  if (field === "command" || /unknown (command|method)/i.test(run.stderr)) return notYet;
  throw new Error(`almanac ${args.join(" ")}: exit ${run.status}: ${(run.stdout + run.stderr).slice(0, 400)}`);
}

function jsonFrom(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (error) {
    if (error instanceof SyntaxError) return undefined;
    throw error;
  }
}

export interface Range {
  low: number;
  best: number;
  high: number;
}
export const isRange = (value: unknown): value is Range =>
  typeof value === "object" && value !== null && "low" in value && typeof value.low === "number";

/** Seconds since 1970 of an answer's time. */
export const secondsFrom = (time: string): number => Date.parse(time) / 1000;
