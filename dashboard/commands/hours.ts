import { z } from "zod";
import { flag, forBoard, storeCommand } from "./command.ts";

export const hours = storeCommand({
  name: "hours",
  summary: "enabled hours and run-hours by machine, day, week, month or hour of the week",
  examples: ["almanac hours", "almanac hours --by month --machine planer", "almanac hours --by hour-of-week --since 2026-01-01"],
  options: z.object({
    by: z.enum(["machine", "day", "week", "month", "hour-of-week"]).default("machine").describe("the bucket of a row"),
    machine: z.string().optional().describe("only this machine").meta({ placeholder: "M" }),
    all: flag("also empty buckets and unused machines"),
  }),
  needs: "reads",
  http: "GET",
  need: "see-use",
  forBoard: forBoard({
    options: z.object({
      by: z.enum(["machine", "month"]).default("machine").describe("the bucket of a row"),
      machine: z.string().optional().describe("only this machine"),
    }),
    async run(desk, { by, machine }) {
      const { hoursForBoard } = await import("../access/board/answers.ts");
      return hoursForBoard(desk, by, machine);
    },
  }),
  async run({ connection, span }, { by, machine, all }) {
    const { hoursRelation } = await import("../../analytics/index.ts");
    const { head, list, relation, workings } = await hoursRelation(connection, { ...span, by, machine, all });
    return { head: { ...head, workings }, list: { name: list, relation } };
  },
});
