import { z } from "zod";
import { FINDING_RULES } from "../../shared/finding-rules.ts";
import { type Row, storeCommand } from "./command.ts";

/** As analytics/findings/reviews.ts has them; named here too so that help need not load the rules. */
export const findingStates = ["open", "explained", "acted", "dismissed"] as const;

export const findingsCommand = storeCommand({
  name: "findings",
  summary: "what the safety lead or the maintainer should look at, with the evidence and what the log can't know",
  examples: ["almanac findings --state open", "almanac findings --rule alone-closed --since 2026-03-01"],
  options: z.object({
    rule: z.enum(FINDING_RULES).optional().describe("only this rule").meta({ placeholder: "R" }),
    state: z.enum(findingStates).optional().describe("only what was reviewed like this, or is open").meta({ placeholder: "S" }),
    machine: z.string().optional().describe("only this machine").meta({ placeholder: "M" }),
  }),
  needs: "reads",
  http: "GET",
  need: "see-findings",
  async run(desk, { rule, state, machine }) {
    const [{ findingsOf }, { wordsOfFindings }] = await Promise.all([
      import("../findings/findings-of.ts"),
      import("../findings/words.ts"),
    ]);
    const answer = await findingsOf(desk, { only: rule === undefined ? undefined : [rule], state, machine });
    return {
      head: { ...answer.head },
      list: { name: "findings", rows: answer.findings as unknown as Row[] },
      text: wordsOfFindings(answer),
    };
  },
});
