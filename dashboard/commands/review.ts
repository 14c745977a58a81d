import { z } from "zod";
import { type Row, storeCommand } from "./command.ts";
import { findingStates } from "./findings.ts";

export const review = storeCommand({
  name: "review",
  summary: "say what became of a finding: open, explained, acted or dismissed",
  examples: ['almanac review 6a779525e1c2 --state explained --note "Jory tested the repair"'],
  operands: "<id>",
  options: z.object({
    id: z.string().min(1).describe("the finding's id, as findings shows it"),
    state: z.enum(findingStates).describe("open, explained, acted or dismissed").meta({ placeholder: "S" }),
    note: z.string().max(2000).optional().describe("why").meta({ placeholder: "TEXT" }),
    by: z.string().optional().describe("who").meta({ placeholder: "NAME" }),
  }),
  needs: "writes",
  http: "POST",
  need: "do-review",
  async run(desk, typed) {
    const { addReview } = await import("../findings/reviewing.ts");
    const finding = await addReview(desk, typed);
    return {
      head: {},
      list: { name: "findings", rows: [finding] as unknown as Row[] },
      trail: { finding: finding.id, rule: finding.rule, state: finding.state },
    };
  },
});
