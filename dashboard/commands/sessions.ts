import { z } from "zod";
import { storeCommand } from "./command.ts";

export const sessions = storeCommand({
  name: "sessions",
  summary: "every stretch in which one badge had a machine enabled, and how it ended",
  examples: ["almanac sessions --machine planer --since 2026-03-01"],
  options: z.object({ machine: z.string().optional().describe("only this machine").meta({ placeholder: "M" }) }),
  needs: "reads",
  http: "GET",
  need: "see-members",
  async run({ connection, span }, { machine }) {
    const { sessionsRelation } = await import("../../analytics/index.ts");
    const { head, list, relation, workings } = await sessionsRelation(connection, { ...span, machine });
    return { head: { ...head, workings }, list: { name: list, relation } };
  },
});
