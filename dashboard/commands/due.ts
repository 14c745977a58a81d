import { z } from "zod";
import { type Row, storeCommand } from "./command.ts";

const rank = { overdue: 0, now: 1, soon: 2, unknown: 3, later: 4 } as const;

export const due = storeCommand({
  name: "due",
  summary: "every task with what is used of its interval and when it is due, most urgent first",
  examples: ["almanac due", "almanac due --machine planer --as-of 2026-03-01"],
  options: z.object({ machine: z.string().optional().describe("only this machine").meta({ placeholder: "M" }) }),
  needs: "reads",
  http: "GET",
  need: "see-service",
  async run({ connection, span, seed }, { machine }) {
    const { dueTasks, loadLimitDraws } = await import("../../analytics/index.ts");
    const { asOf, zone } = span;
    const limitDraws = await loadLimitDraws(connection, { asOf, zone, worlds: 200, seed });
    const { tasks, ...head } = await dueTasks(connection, { asOf, zone, seed, limitDraws });
    const rows = tasks
      .filter((task) => machine === undefined || task.machine === machine)
      .sort((a, b) => rank[a.state] - rank[b.state] || (a.due.median ?? "9999").localeCompare(b.due.median ?? "9999"));
    return { head, list: { name: "tasks", rows: rows as unknown as Row[] } };
  },
});
