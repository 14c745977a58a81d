import { z } from "zod";
import { flag, forBoard, storeCommand } from "./command.ts";

const own = z.object({
  group: z.string().optional().describe("only this group").meta({ placeholder: "G" }),
  add: z.coerce.number().int().min(1).max(20).default(1).describe("how many further units").meta({ placeholder: "N" }),
  patience: z.coerce
    .number()
    .min(0)
    .max(10_000)
    .optional()
    .describe(
      "minutes that members wait; unless given as the log tells, and where it tells little the workshop file's patience (15)",
    )
    .meta({ placeholder: "MINUTES" }),
  budget: z.coerce
    .number()
    .min(0)
    .optional()
    .describe("money for further units, to choose what to buy with")
    .meta({ placeholder: "AMOUNT" }),
});

export const demand = storeCommand({
  name: "demand",
  summary: "turns wished for behind busy machines, what a further unit would give, and which purchase gives most for its price",
  examples: [
    "almanac demand",
    "almanac demand --group lathe --add 2",
    'almanac demand --open "thu 18:00-22:00"',
    "almanac demand --out planer --members 20",
  ],
  options: own.extend({
    open: z
      .string()
      .optional()
      .describe('what if these hours were open too, like "thu 18:00-22:00"')
      .meta({ placeholder: "HOURS" }),
    out: z.string().optional().describe("what if this machine were out for a month").meta({ placeholder: "MACHINE" }),
    members: z.coerce
      .number()
      .min(-100)
      .max(1000)
      .optional()
      .describe("what if there were so many per cent more members")
      .meta({ placeholder: "PERCENT" }),
    trained: z.coerce
      .number()
      .int()
      .min(0)
      .max(100_000)
      .optional()
      .describe("what if so many more members were trained on each group")
      .meta({ placeholder: "N" }),
    repair: z.coerce
      .number()
      .min(1)
      .max(1000)
      .optional()
      .describe("what if machines were repaired so many times as fast")
      .meta({ placeholder: "TIMES" }),
    quick: flag("fewer draws, for an answer while somebody waits"),
  }),
  needs: "reads",
  http: "GET",
  need: "see-demand",
  forBoard: forBoard({
    options: own,
    async run(desk, asked) {
      const { demandForBoard } = await import("../demand/answer.ts");
      return demandForBoard(desk, asked);
    },
  }),
  async run(desk, asked) {
    const { demandOf } = await import("../demand/answer.ts");
    return demandOf(desk, asked);
  },
});
