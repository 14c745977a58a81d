import { z } from "zod";
import { type Command, type Row, storeCommand } from "./command.ts";

const choices = ["suggested", "own", "set", "inspect", "run-to-failure"] as const;
const machine = z.string().describe("the machine's id").meta({ placeholder: "M" });
const part = z.string().optional().describe("the part's id").meta({ placeholder: "P" });

export const life = storeCommand({
  name: "life",
  summary: "how long parts last by the record, the set interval and the one it suggests, and whether repairs come faster",
  examples: ["almanac life", "almanac life --machine planer --part knives --json"],
  options: z.object({
    machine: machine.optional(),
    part,
    task: z.string().optional().describe("the task's id").meta({ placeholder: "T" }),
  }),
  needs: "reads",
  http: "GET",
  need: "see-service",
  async run({ connection, span: { asOf, zone } }, wanted) {
    const { lifeAnswer } = await import("../../analytics/index.ts");
    const { lives, ...head } = await lifeAnswer(connection, { asOf, zone, ...wanted });
    return { head, list: { name: "lives", rows: lives as unknown as Row[] } };
  },
});

export const lifeDecide = storeCommand({
  name: "life decide",
  summary: "decide how long a part stays in: at the age suggested, one's own, the set one, or until it is found at its end",
  examples: [
    "almanac life decide --machine planer --part knives --task replace --choice suggested",
    "almanac life decide --machine planer --task replace --choice own --interval 45 --note 'before the big job'",
  ],
  options: z.object({
    machine,
    part,
    task: z.string().describe("the task's id").meta({ placeholder: "T" }),
    choice: z.enum(choices).describe("what to go by"),
    interval: z.coerce.number().positive().optional().describe("one's own, in the task's unit").meta({ placeholder: "N" }),
    note: z.string().max(1000).optional().describe("why").meta({ placeholder: "TEXT" }),
    by: z.string().optional().describe("who").meta({ placeholder: "NAME" }),
  }),
  needs: "writes",
  http: "POST",
  need: "do-service",
  async run(desk, typed) {
    const { decide } = await import("../life/decide.ts");
    return { head: {}, list: { name: "decisions", rows: [await decide(desk, typed)] as unknown as Row[] } };
  },
});

export const lifeDecisions = storeCommand({
  name: "life decisions",
  summary: "what was decided about how long parts stay in, newest first",
  examples: ["almanac life decisions"],
  options: z.object({ machine: machine.optional() }),
  needs: "reads",
  http: "GET",
  path: "life/decisions",
  need: "see-service",
  async run({ connection, span, isAsOfAsked }, { machine }) {
    const { loadDecisions } = await import("../../analytics/index.ts");
    const { all } = await loadDecisions(connection, isAsOfAsked ? span.asOf : new Date());
    const rows = all.filter((decision) => machine === undefined || decision.machine === machine);
    return { head: {}, list: { name: "decisions", rows: rows as unknown as Row[] } };
  },
});

export const lifeCommands: readonly Command[] = [life, lifeDecide, lifeDecisions];
