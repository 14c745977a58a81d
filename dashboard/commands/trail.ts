import { z } from "zod";
import { type Row, storeCommand } from "./command.ts";

export const trail = storeCommand({
  name: "trail",
  summary: "who saw member data and who changed what",
  examples: ["almanac trail --since 2026-01-01", "almanac trail --who ann --json"],
  options: z.object({ who: z.string().optional().describe("only this account, phone or source").meta({ placeholder: "NAME" }) }),
  needs: "reads",
  http: "GET",
  need: "see-trail",
  async run({ connection, span }, { who }) {
    const { loadTrail } = await import("../access/trail.ts");
    const { rows, brokenAt } = await loadTrail(connection);
    const wanted = rows.filter(
      (row) =>
        (who === undefined || row.who === who) &&
        (span.since === undefined || row.at >= span.since) &&
        (span.until === undefined || row.at < span.until),
    );
    return {
      head: { intact: brokenAt === null, brokenAt },
      list: {
        name: "trail",
        rows: wanted.map(({ entry, at, who, act, what, detail }) => ({
          entry,
          at: at.toISOString(),
          who,
          act,
          what,
          detail: JSON.stringify(detail),
        })) satisfies Row[],
      },
      exitCode: brokenAt === null ? 0 : 1,
    };
  },
});
