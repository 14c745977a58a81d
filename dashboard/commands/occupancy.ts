import { z } from "zod";
import { forBoard, type Row, storeCommand } from "./command.ts";

export const occupancy = storeCommand({
  name: "occupancy",
  summary: "how many units were in use at once, by group, room and shop",
  examples: ["almanac occupancy", "almanac occupancy --group lathe --since 2026-01-01"],
  options: z.object({ group: z.string().optional().describe("only this group").meta({ placeholder: "G" }) }),
  needs: "reads",
  http: "GET",
  need: "see-use",
  forBoard: forBoard({
    options: z.object({}),
    async run(desk) {
      const { occupancyForBoard } = await import("../access/board/answers.ts");
      return occupancyForBoard(desk);
    },
  }),
  async run({ connection, span }, { group }) {
    const { occupancy } = await import("../../analytics/index.ts");
    const { groups, ...head } = await occupancy(connection, { ...span, group });
    return { head, list: { name: "groups", rows: groups as unknown as Row[] } };
  },
});
