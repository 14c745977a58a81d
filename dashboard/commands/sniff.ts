import { resolve } from "node:path";
import { z } from "zod";
import { UsageError } from "../../shared/errors.ts";
import { plainCommand } from "./command.ts";

/** The proposal as a file of its own: the profile, and as comments its questions and how its first rows would be read. */
const proposalText = (yaml: string, questions: readonly string[], rows: readonly object[], zone: string | undefined): string => {
  const read = rows.map((row) => {
    const parts = Object.entries(row).filter(([name, value]) => value !== null && name !== "local");
    return `#   ${parts.map(([name, value]) => `${name} ${value instanceof Date ? value.toISOString() : value}`).join(" · ")}`;
  });
  const asked =
    questions.length === 0
      ? ""
      : `\n# Questions that its values can't answer:\n${questions.map((text) => `#   - ${text}\n`).join("")}`;
  const clock = zone === undefined ? "UTC where the zone is a question" : `UTC, stamps without an offset read by ${zone}`;
  return `${yaml.trimEnd()}\n${asked}\n# Its first rows would be read as (${clock}):\n${read.join("\n")}\n`;
};

export const sniff = plainCommand({
  name: "sniff",
  summary: "propose a profile for an unknown log",
  examples: ["almanac sniff export.csv > profile.yaml", "almanac sniff export.csv --workshop north/workshop.yaml"],
  operands: "<file>",
  options: z.object({ file: z.string().describe("the log") }),
  needs: "nothing",
  need: "do-setup",
  async run({ cwd }, { file, workshop }) {
    const { sniffFile } = await import("../../ingest/index.ts");
    const { existsSync } = await import("node:fs");
    if (!existsSync(resolve(cwd, file)))
      throw new UsageError({ field: "file", value: file, expected: "a file that can be opened (there is none)" });
    const zone = await maybeZone(resolve(cwd, workshop));
    const found = await sniffFile(resolve(cwd, file), file, { zone });
    if (found.kind === "none") {
      return { head: { file, log: false, why: found.why }, text: `# ${file}: no event log: ${found.why}\n`, exitCode: 2 };
    }
    const { format, yaml, questions, rows, rejected } = found;
    return {
      head: { file, log: true, format, profile: yaml, questions, zone: zone ?? null, rejected },
      list: {
        name: "rows",
        rows: rows.map((row) => ({ ...row, time: row.time.toISOString(), finish: row.finish?.toISOString() ?? null })),
      },
      text: proposalText(yaml, questions, rows, zone),
    };
  },
});

/** The zone of the workshop file, where there is a sound one. */
async function maybeZone(path: string): Promise<string | undefined> {
  const { loadWorkshop } = await import("../../shared/workshop.ts");
  try {
    return loadWorkshop(path).workshop.workshop.zone;
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    return undefined;
  }
}
