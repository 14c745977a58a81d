import { z } from "zod";
import { type Command, type Row, storeCommand } from "./command.ts";

const machine = z.string().describe("the machine's id").meta({ placeholder: "M" });
const by = z.string().optional().describe("who").meta({ placeholder: "NAME" });

export const outageAdd = storeCommand({
  name: "outage add",
  summary: "tag a machine out of order",
  examples: ["almanac outage add --machine planer --reason 'guard is bent'"],
  options: z.object({
    machine,
    from: z.string().optional().describe("since when; else now").meta({ placeholder: "TIME" }),
    until: z.string().optional().describe("until when, where it is back already").meta({ placeholder: "TIME" }),
    reason: z.string().optional().describe("why").meta({ placeholder: "TEXT" }),
    by,
    key: z.string().min(8).max(100).optional().describe("a name of its own for this entry").meta({ placeholder: "KEY" }),
  }),
  needs: "writes",
  http: "POST",
  need: "do-service",
  async run(desk, typed) {
    const { addOutage } = await import("../service/outages.ts");
    return { head: {}, list: { name: "outages", rows: [await addOutage(desk, typed)] as unknown as Row[] } };
  },
});

export const outageEnd = storeCommand({
  name: "outage end",
  summary: "return a machine that was tagged out",
  examples: ["almanac outage end 3"],
  operands: "<id>",
  options: z.object({
    id: z.coerce.string().describe("the outage's id, as outage list shows it"),
    until: z.string().optional().describe("since when it is back; else now").meta({ placeholder: "TIME" }),
    by,
  }),
  needs: "writes",
  http: "POST",
  path: "outage/:id/end",
  need: "do-service",
  async run(desk, typed) {
    const { endOutage } = await import("../service/outages.ts");
    return { head: {}, list: { name: "outages", rows: [await endOutage(desk, typed)] as unknown as Row[] } };
  },
});

export const outageList = storeCommand({
  name: "outage list",
  summary: "machines out of order or away, and when they were",
  examples: ["almanac outage list", "almanac outage list --machine planer"],
  options: z.object({ machine: machine.optional() }),
  needs: "reads",
  http: "GET",
  need: "see-service",
  async run({ connection, span, isAsOfAsked }, { machine }) {
    const { listOutages } = await import("../service/outages.ts");
    const { since, until, asOf } = span;
    const rows = await listOutages(connection, { machine, since, until, asOf: isAsOfAsked ? asOf : undefined });
    return { head: {}, list: { name: "outages", rows: rows as unknown as Row[] } };
  },
});

export const outageCommands: readonly Command[] = [outageAdd, outageEnd, outageList];
