import { z } from "zod";
import { type Row, storeCommand } from "./command.ts";

export const evenings = storeCommand({
  name: "evenings",
  summary: "tasks of a machine that can be done together under one lock-out, on which day, and what that saves",
  examples: ["almanac evenings"],
  options: z.object({}),
  needs: "reads",
  http: "GET",
  need: "see-service",
  async run({ connection, span: { asOf, zone }, seed, isAsOfAsked, workshop }) {
    const { eveningsAnswer, loadLimitDraws } = await import("../../analytics/index.ts");
    const { shelf } = await import("../service/stock.ts");
    const { renews } = await import("../../shared/index.ts");
    const onShelf = await shelf(connection, { asOf: isAsOfAsked ? asOf : new Date() });
    const limitDraws = await loadLimitDraws(connection, { asOf, zone, worlds: 200, seed });
    const { evenings, ...head } = await eveningsAnswer(connection, {
      asOf,
      zone,
      seed,
      limitDraws,
      inStock: (machine, part) => onShelf.find((row) => row.machine === machine && row.part === part)?.inStock ?? null,
      takesPiece: ({ machine, part, task }) => {
        const own = workshop.workshop.machines.find(({ id }) => id === machine)?.parts.find(({ id }) => id === part);
        const typed = own?.tasks.find(({ id }) => id === task);
        return own !== undefined && typed !== undefined && renews(own, typed);
      },
    });
    return { head, list: { name: "evenings", rows: evenings as unknown as Row[] } };
  },
});
