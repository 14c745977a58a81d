import { z } from "zod";
import { type Row, storeCommand } from "./command.ts";

export const ledgerCommand = storeCommand({
  name: "ledger",
  summary: "due dates of the last year as they were issued week by week, and whether they held",
  examples: ["almanac ledger", "almanac ledger --as-of 2026-03-01"],
  options: z.object({ machine: z.string().optional().describe("only this machine").meta({ placeholder: "M" }) }),
  needs: "reads",
  http: "GET",
  need: "see-service",
  async run({ connection, span }, { machine }) {
    const { ledger } = await import("../../analytics/index.ts");
    const { windows, ...head } = await ledger(connection, { asOf: span.asOf, zone: span.zone });
    const rows = windows.filter((window) => machine === undefined || window.machine === machine);
    return { head, list: { name: "windows", rows: rows as unknown as Row[] } };
  },
});
