import { z } from "zod";
import { type Row, storeCommand } from "./command.ts";

export const spares = storeCommand({
  name: "spares",
  summary: "parts likely to be needed, how many to hold for a chosen chance of not running out, and when to order",
  examples: ["almanac spares", "almanac spares --days 60 --service-level 0.95"],
  options: z.object({
    days: z.coerce.number().int().min(1).max(700).default(90).describe("how far ahead").meta({ placeholder: "N" }),
    serviceLevel: z.coerce
      .number()
      .gt(0)
      .lt(1)
      .default(0.9)
      .describe("chance that what is held is enough, between 0 and 1")
      .meta({ placeholder: "P" }),
    machine: z.string().optional().describe("only this machine").meta({ placeholder: "M" }),
  }),
  needs: "reads",
  http: "GET",
  need: "see-service",
  async run({ connection, span, seed, isAsOfAsked }, { days, serviceLevel, machine }) {
    const { sparesAnswer } = await import("../../analytics/index.ts");
    const { shelf } = await import("../service/stock.ts");
    const { asOf, zone } = span;
    const onShelf = await shelf(connection, { asOf: isAsOfAsked ? asOf : new Date() });
    const inStock = (ofMachine: string, part: string) =>
      onShelf.find((row) => row.machine === ofMachine && row.part === part)?.inStock ?? null;
    const { parts, ...head } = await sparesAnswer(connection, { asOf, zone, seed, days, serviceLevel, inStock });
    const rows = parts.filter((row) => machine === undefined || row.machine === machine);
    return { head, list: { name: "parts", rows: rows as unknown as Row[] } };
  },
});
