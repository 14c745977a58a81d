import { z } from "zod";
import { type Row, storeCommand } from "./command.ts";

export const safety = storeCommand({
  name: "safety",
  summary: "findings on the workshop's own clock, with the sessions around them, opening hours, norms and permissions that end",
  examples: ["almanac safety --since 2026-03-01 --until 2026-03-31"],
  options: z.object({}),
  needs: "reads",
  http: "GET",
  need: "see-findings",
  async run(desk) {
    const { safetyOf } = await import("../findings/safety.ts");
    const { head, findings } = await safetyOf(desk);
    return { head: { ...head }, list: { name: "findings", rows: findings as unknown as Row[] } };
  },
});
