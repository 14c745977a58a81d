import { resolve } from "node:path";
import { z } from "zod";
import { sentenceFromComplaint } from "../../shared/errors.ts";
import { plainCommand } from "./command.ts";

export const check = plainCommand({
  name: "check",
  summary: "every problem of the workshop file, its profile and its roster, in one go",
  examples: ["almanac check", "almanac check --workshop north/workshop.yaml --json"],
  options: z.object({}),
  needs: "nothing",
  need: "do-setup",
  async run({ cwd }, { workshop }) {
    const { problemsOf } = await import("../../shared/workshop.ts");
    const problems = await problemsOf(resolve(cwd, workshop));
    const lines = problems.map(
      ({ file, line, path, value, expected }) => `${sentenceFromComplaint({ file, line, field: path, value, expected })}\n`,
    );
    return {
      head: { ok: problems.length === 0 },
      list: { name: "problems", rows: problems as unknown as Record<string, unknown>[] },
      exitCode: problems.length === 0 ? 0 : 2,
      text: problems.length === 0 ? `${workshop}: no problems\n` : lines.join(""),
    };
  },
});
