import { resolve } from "node:path";
import { z } from "zod";
import { plainCommand } from "./command.ts";

/** The proposal as a file of its own: the profile, and as comments its questions and how its first rows would be read. */
const proposalText = (yaml: string, rows: readonly object[]): string => {
  const read = rows.map((row) => {
    const parts = Object.entries(row).filter(([, value]) => value !== null);
    return `#   ${parts.map(([name, value]) => `${name} ${value instanceof Date ? value.toISOString() : value}`).join(" · ")}`;
  });
  return `${yaml.trimEnd()}\n\n# Its first rows would be read as (UTC where the zone is a question):\n${read.join("\n")}\n`;
};

export const sniff = plainCommand({
  name: "sniff",
  summary: "propose a profile for an unknown log",
  examples: ["almanac sniff export.csv > profile.yaml"],
  operands: "<file>",
  options: z.object({ file: z.string().describe("the log") }),
  needs: "nothing",
  need: "do-setup",
  async run({ cwd }, { file }) {
    const { sniffFile } = await import("../../ingest/index.ts");
    const found = await sniffFile(resolve(cwd, file), file);
    if (found.kind === "none") {
      return { head: { file, log: false, why: found.why }, text: `${file}: no event log: ${found.why}\n` };
    }
    const { format, yaml, questions, rows, rejected } = found;
    return {
      head: { file, log: true, format, profile: yaml, questions, rejected },
      list: {
        name: "rows",
        rows: rows.map((row) => ({ ...row, time: row.time.toISOString(), finish: row.finish?.toISOString() ?? null })),
      },
      text: proposalText(yaml, rows),
    };
  },
});
