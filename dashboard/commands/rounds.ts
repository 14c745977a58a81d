import { z } from "zod";
import { storeCommand } from "./command.ts";

export const rounds = storeCommand({
  name: "rounds",
  summary: "the steward's month: unlisted stations and badges, clocks, readings wanted, permissions, backup, disk, rejects",
  examples: ["almanac rounds", "almanac rounds --as-of now --json"],
  options: z.object({}),
  needs: "reads",
  http: "GET",
  need: "do-setup",
  async run(desk) {
    const { roundsOf } = await import("../rounds.ts");
    return roundsOf(desk);
  },
});
