// A station whose contact bounces more often than chance gives.
import { rule } from "../rule.ts";
import { flaggedWeeks } from "../station-weeks/flagged.ts";
import { percentText } from "../station-weeks/weeks.ts";

export const chatter = rule({
  name: "chatter",
  version: 1,
  severity: "medium",
  summary: "a station's contact bounced in more sessions of a week than chance gives",
  defaults: { false_discovery: 0.1 },
  why: "A contact may bounce now and then, so a station's week is held against the shop's own rate, found without the weeks that stand out. One flag in ten may be chance; one station's week in 200 is taken to be in trouble as a rule, so with few flags the line is at 1 in 2000.",
  weighty: ["count"],
  find: (asked) =>
    flaggedWeeks(asked, (week) => week.bounced, {
      text: (week, usualShare) =>
        `In ${week.count} of ${week.sessions} sessions at station ${week.station} in that week the contact closed more than once (${week.bounces} times too often in all); at the shop's usual ${percentText(usualShare)} it would have been ${week.expected.toFixed(1)} sessions.`,
      unknown:
        "The log can't know why: a worn spring or contact, a bent badge, or somebody who moves the badge in the holder. Each closing wears the contactor.",
    }),
});
