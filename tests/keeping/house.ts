// A folder with a small shop's store in it, asked in this process.
import { join } from "node:path";
import type { Surroundings } from "../../dashboard/commands/command.ts";
import { commands } from "../../dashboard/commands/index.ts";
import { quiet } from "../../dashboard/progress.ts";
import { jsonFromAnswer } from "../../dashboard/render.ts";
import { type Holder, runCommand } from "../../dashboard/run.ts";
import { emptyFolder } from "../support/almanac.ts";

export const surroundingsIn = (cwd: string): Surroundings => ({
  cwd,
  stdin: async () => "",
  progress: quiet,
  signal: new AbortController().signal,
  who: "command line",
  commands,
  asOfDefault: "last-event",
});

// biome-ignore lint/suspicious/noExplicitAny: answers are checked by the assertions that read them
export type Json = any;

/** Runs a command as it would be typed in `cwd`, and gives its JSON. */
export async function asked(cwd: string, name: string, options: Record<string, unknown> = {}, holder?: Holder): Promise<Json> {
  const command = commands.find((each) => each.name === name);
  if (!command) throw new Error(`no command ${name}`);
  return jsonFromAnswer(await runCommand(command, options, surroundingsIn(cwd), holder));
}

export const storeIn = (folder: string): string => join(folder, "almanac.duckdb");
export { emptyFolder };
