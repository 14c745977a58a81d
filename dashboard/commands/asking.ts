import { z } from "zod";
import { type Row, storeCommand } from "./command.ts";

export const asking = storeCommand({
  name: "asking",
  summary: "the one reading worth having this week, and what else would narrow a window",
  examples: ["almanac asking", "almanac asking --json"],
  options: z.object({}),
  needs: "reads",
  http: "GET",
  need: "see-service",
  async run({ connection, span: { asOf, zone }, seed }) {
    const { askingAnswer, loadLimitDraws } = await import("../../analytics/index.ts");
    const limitDraws = await loadLimitDraws(connection, { asOf, zone, worlds: 200, seed });
    const { asked, others, ...head } = await askingAnswer(connection, { asOf, zone, seed, limitDraws });
    const rows = asked === null ? [] : [asked, ...others];
    return { head: { ...head, asked }, list: { name: "askings", rows: rows as unknown as Row[] } };
  },
});
