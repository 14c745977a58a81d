import { z } from "zod";
import { type Command, type Row, storeCommand } from "./command.ts";

const kinds = ["count", "bought", "used", "scrapped"] as const;

export const stockAdd = storeCommand({
  name: "stock add",
  summary: "note pieces counted, bought, used or scrapped",
  examples: ["almanac stock add --machine planer --part knives --kind bought --pieces 2 --cost 120"],
  options: z.object({
    machine: z.string().describe("the machine's id").meta({ placeholder: "M" }),
    part: z.string().describe("the part's id").meta({ placeholder: "P" }),
    kind: z.enum(kinds).describe("count: so many are there now"),
    pieces: z.coerce.number().int().min(0).describe("how many").meta({ placeholder: "N" }),
    time: z.string().optional().describe("when; else now").meta({ placeholder: "TIME" }),
    cost: z.coerce.number().min(0).optional().describe("what they cost").meta({ placeholder: "AMOUNT" }),
    note: z.string().optional().describe("anything else").meta({ placeholder: "TEXT" }),
    by: z.string().optional().describe("who").meta({ placeholder: "NAME" }),
    key: z.string().min(8).max(100).optional().describe("a name of its own for this entry").meta({ placeholder: "KEY" }),
  }),
  needs: "writes",
  http: "POST",
  need: "do-service",
  async run(desk, typed) {
    const { addMove } = await import("../service/stock.ts");
    return { head: {}, list: { name: "shelf", rows: [await addMove(desk, typed)] as unknown as Row[] } };
  },
});

export const stockList = storeCommand({
  name: "stock list",
  summary: "what is on the shelf for each part, and which piece is in the machine",
  examples: ["almanac stock list"],
  options: z.object({ machine: z.string().optional().describe("only this machine").meta({ placeholder: "M" }) }),
  needs: "reads",
  http: "GET",
  need: "see-service",
  async run({ connection, span, isAsOfAsked }, { machine }) {
    const { shelf } = await import("../service/stock.ts");
    const rows = await shelf(connection, { machine, asOf: isAsOfAsked ? span.asOf : new Date() });
    return { head: {}, list: { name: "shelf", rows: rows as unknown as Row[] } };
  },
});

export const stockCommands: readonly Command[] = [stockAdd, stockList];
