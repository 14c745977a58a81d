import { z } from "zod";
import { type Command, type Row, storeCommand } from "./command.ts";

const by = z.string().optional().describe("who").meta({ placeholder: "NAME" });

export const holdAdd = storeCommand({
  name: "hold add",
  summary: "keep the evidence of an incident from retention and from forget, until a day",
  examples: [
    'almanac hold add --finding 6a779525e1c2 --reason "hand injury, insurer asks" --ends 2027-06-30',
    'almanac hold add --from 2026-03-01 --to 2026-03-02 --machine planer --reason "kickback" --ends 2027-06-30',
  ],
  options: z.object({
    reason: z.string().min(1).max(2000).describe("why").meta({ placeholder: "TEXT" }),
    ends: z.string().describe("the last day on which it is held").meta({ placeholder: "DAY" }),
    finding: z.string().optional().describe("a finding's id: its time, and a day to either side").meta({ placeholder: "ID" }),
    from: z.string().optional().describe("what happened from then on").meta({ placeholder: "TIME" }),
    to: z.string().optional().describe("until this time (excluded) or day (included)").meta({ placeholder: "TIME" }),
    badge: z.string().optional().describe("only lines of this badge; else of all").meta({ placeholder: "BADGE" }),
    machine: z.string().optional().describe("only at this machine; else everywhere").meta({ placeholder: "M" }),
    by,
  }),
  needs: "writes",
  http: "POST",
  need: "do-review",
  async run(desk, typed) {
    const { addHold } = await import("../findings/holds.ts");
    const hold = await addHold(desk, typed);
    return { head: {}, list: { name: "holds", rows: [hold] as unknown as Row[] }, trail: { hold: hold.id } };
  },
});

export const holdEnd = storeCommand({
  name: "hold end",
  summary: "end a hold before its day",
  examples: ["almanac hold end 2"],
  operands: "<id>",
  options: z.object({ id: z.coerce.number().int().min(1).describe("the hold's id, as hold list shows it"), by }),
  needs: "writes",
  http: "POST",
  path: "hold/:id/end",
  need: "do-review",
  async run(desk, typed) {
    const { endHold } = await import("../findings/holds.ts");
    const hold = await endHold(desk, typed);
    return { head: {}, list: { name: "holds", rows: [hold] as unknown as Row[] }, trail: { hold: hold.id } };
  },
});

export const holdList = storeCommand({
  name: "hold list",
  summary: "what is held, why and until when",
  examples: ["almanac hold list"],
  options: z.object({}),
  needs: "reads",
  http: "GET",
  need: "see-findings",
  async run({ connection, span, isAsOfAsked }) {
    const { listHolds } = await import("../findings/holds.ts");
    const rows = await listHolds(connection, isAsOfAsked ? span.asOf : null, isAsOfAsked ? span.asOf : new Date());
    return { head: {}, list: { name: "holds", rows: rows as unknown as Row[] } };
  },
});

export const holdCommands: readonly Command[] = [holdAdd, holdEnd, holdList];
