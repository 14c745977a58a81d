import { existsSync } from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { z } from "zod";
import { sentenceFromComplaint } from "../../shared/errors.ts";
import type { WorkshopFile } from "../../shared/workshop.ts";
import { plainCommand } from "./command.ts";

export const check = plainCommand({
  name: "check",
  summary: "every problem of the workshop file, its profile and its roster, in one go",
  examples: ["almanac check", "almanac check --workshop north/workshop.yaml --json"],
  options: z.object({}),
  needs: "nothing",
  need: "do-setup",
  async run({ cwd }, { workshop }) {
    const { loadWorkshop, problemsOf } = await import("../../shared/workshop.ts");
    const problems = await problemsOf(resolve(cwd, workshop));
    const lines = problems.map(
      ({ file, line, path, value, expected }) => `${sentenceFromComplaint({ file, line, field: path, value, expected })}\n`,
    );
    const hint = problems.length === 0 ? hintOf(loadWorkshop(resolve(cwd, workshop))) : "";
    return {
      head: { ok: problems.length === 0, ...(hint ? { hint } : {}) },
      list: { name: "problems", rows: problems as unknown as Record<string, unknown>[] },
      exitCode: problems.length === 0 ? 0 : 2,
      text: problems.length === 0 ? `${workshop}: no problems\n${hint}` : lines.join(""),
    };
  },
});

/** A profile that lies beside the workshop file and isn't named in it is read by nobody. */
function hintOf({ path, workshop }: WorkshopFile): string {
  const beside = join(dirname(path), "profile.yaml");
  if (workshop.profile !== undefined || !existsSync(beside)) return "";
  return `${basename(beside)} lies beside it and is not named in it: logs are read by the house format until you write profile: ${basename(beside)}\n`;
}
