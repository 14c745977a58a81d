import { z } from "zod";
import { type Row, storeCommand } from "./command.ts";

export const backtest = storeCommand({
  name: "backtest",
  summary: "whether due dates would have held on past days of this log, and how far off they and two plain means would have been",
  examples: ["almanac backtest", "almanac backtest --as-of 2026-03-01"],
  options: z.object({}),
  needs: "reads",
  http: "GET",
  need: "see-service",
  async run({ connection, span, seed }) {
    const { backtest: run } = await import("../../analytics/index.ts");
    const { horizons, ...head } = await run(connection, { asOf: span.asOf, zone: span.zone, seed });
    return { head, list: { name: "horizons", rows: horizons as unknown as Row[] } };
  },
});
