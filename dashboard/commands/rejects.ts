import { z } from "zod";
import { ask, question } from "../../shared/question.ts";
import { flag, type Row, storeCommand } from "./command.ts";

const everyReason = question(import.meta.url, "../questions/reject-reasons.sql");

const linesOfReason = 20;

export const rejects = storeCommand({
  name: "rejects",
  summary: "every line that was not understood: file, line, text and why",
  examples: ["almanac rejects", "almanac rejects --by reason", "almanac rejects --again --profile mended.yaml"],
  options: z.object({
    by: z.enum(["line", "reason"]).default("line").describe("a row a line, or a row a reason with its first lines"),
    again: flag("read just these lines again, by the mended profile"),
    profile: z.string().optional().describe("the mended profile, else the workshop file's").meta({ placeholder: "FILE" }),
  }),
  needs: "reads",
  need: "see-lines",
  http: "GET",
  async run(desk, { by, again, profile }) {
    const { listRejects } = await import("../../ingest/index.ts");
    const head: Record<string, unknown> = {};
    if (again) {
      const { readRejectsAgain } = await import("../reading.ts");
      head.again = await readRejectsAgain(desk, profile ?? null);
    }
    const trail = again ? { again } : {};
    if (by === "line")
      return { head, list: { name: "rejects", rows: (await listRejects(desk.connection)) as unknown as Row[] }, trail };
    const rows = await ask<Row>(desk.connection, everyReason, { shown: linesOfReason });
    const list = rows.map((row) => ({ ...row, lines: JSON.parse(row.lines as string) }));
    return { head, list: { name: "reasons", rows: list }, trail };
  },
});
