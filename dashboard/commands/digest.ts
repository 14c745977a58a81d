import { z } from "zod";
import { type Answer, flag, storeCommand } from "./command.ts";

const roles = ["maintenance", "board", "safety", "steward"] as const;

export const digest = storeCommand({
  name: "digest",
  summary: "the week by role, as text and HTML: shown, written to files, or sent by mail once a week",
  examples: ["almanac digest --role maintenance", "almanac digest --out digests", "almanac digest --send"],
  options: z.object({
    role: z.enum(roles).optional().describe("only this role's"),
    out: z
      .string()
      .optional()
      .describe("write a text and an HTML file for each role into this folder")
      .meta({ placeholder: "DIR" }),
    send: flag("send them to the addresses of watch.mail in the workshop file; never twice for the same week"),
  }),
  needs: "writes",
  need: "do-setup",
  async run(desk, { role, out, send }): Promise<Answer> {
    const { digests } = await import("../digest/digests.ts");
    return digests(desk, { role, out, send });
  },
});
