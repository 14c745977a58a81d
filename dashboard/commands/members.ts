import { z } from "zod";
import { forBoard, storeCommand } from "./command.ts";

export const training = storeCommand({
  name: "training",
  summary: "refused badges by machine and month, who may use it and never did, permissions that run out",
  examples: ["almanac training", "almanac training --since 2026-01-01"],
  options: z.object({}),
  needs: "reads",
  http: "GET",
  need: "see-demand",
  forBoard: forBoard({
    options: z.object({}),
    async run(desk) {
      const { trainingForBoard } = await import("../demand/members.ts");
      return trainingForBoard(desk);
    },
  }),
  async run(desk) {
    const { trainingOf } = await import("../demand/members.ts");
    return trainingOf(desk);
  },
});

export const reach = storeCommand({
  name: "reach",
  summary: "how many members each machine reaches, and what part of its hours the busiest tenth have",
  examples: ["almanac reach", "almanac reach --since 2026-01-01"],
  options: z.object({}),
  needs: "reads",
  http: "GET",
  need: "see-demand",
  forBoard: forBoard({
    options: z.object({}),
    async run(desk) {
      const { reachForBoard } = await import("../demand/members.ts");
      return reachForBoard(desk);
    },
  }),
  async run(desk) {
    const { reachFor } = await import("../demand/members.ts");
    return reachFor(desk);
  },
});
