// The rules whose findings a workshop may switch, and their knobs.
import * as z from "zod";
import { FINDING_RULES, type FindingRule } from "./finding-rules.ts";
import { above0, from0, stationWord, strict, yes } from "./words.ts";

const SHARE = "a share between 0 and 0.5";

const switchSchema = z
  .union(
    [
      z.boolean(),
      strict("a rule's switches, like {on: true}", {
        on: yes("whether the rule is used").default(true),
        /** Of the flags raised, how many may be false ones. */
        false_discovery: z.number(SHARE).gt(0, SHARE).max(0.5, SHARE).optional(),
        /** Whether being alone is judged by the room or by the whole shop. */
        place: z.enum(["room", "shop"], "room or shop").optional(),
        /** Absences shorter than this don't count as being gone. */
        gap_minutes: from0("minutes").optional(),
        /** Shorter stretches raise nothing. */
        after_minutes: above0("minutes").optional(),
        /** How far clocks may disagree, or an end may lag. */
        slack_seconds: from0("seconds").optional(),
        /** Pairs of stations at which one badge may be at once. */
        exempt: z
          .array(z.array(stationWord, "two stations").length(2, "two stations"), "pairs of stations like [[21, 22]]")
          .optional(),
      }),
    ],
    "true, false, or a rule's switches like {on: true}",
  )
  .transform((value) => (typeof value === "boolean" ? { on: value } : value));

export type FindingSwitch = z.output<typeof switchSchema>;

const shape = Object.fromEntries(FINDING_RULES.map((rule) => [rule, switchSchema.optional()])) as Record<
  FindingRule,
  z.ZodOptional<typeof switchSchema>
>;

export const findingsSchema = strict("rules and their switches", shape);
