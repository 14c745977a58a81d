// A station whose sessions lack their ends more often than chance gives: a contact that fails.
import { rule } from "../rule.ts";
import { flaggedWeeks } from "../station-weeks/flagged.ts";
import { percentText } from "../station-weeks/weeks.ts";

export const missingEnd = rule({
  name: "missing-end",
  version: 1,
  severity: "medium",
  summary: "a station lost more ends of sessions in a week than chance gives",
  defaults: { false_discovery: 0.1 },
  why: "Single ends get lost anywhere, so a station's week is held against the shop's own rate, found without the weeks that stand out. What a power cut or a dead server took from several stations at once counts against none. One flag in ten may be chance; one station's week in 200 is taken to be in trouble as a rule, so with few flags the line is at 1 in 2000.",
  weighty: ["count"],
  find: (asked) =>
    flaggedWeeks(asked, (week) => week.missingEnds, {
      text: (week, usualShare) =>
        `Of ${week.sessions} sessions at station ${week.station} in that week ${week.count} had no end that was seen; at the shop's usual ${percentText(usualShare)} it would have been ${week.expected.toFixed(1)}.`,
      unknown:
        "The log can't know why: a worn contact, a bad place for radio, or members who take the badge out as they should while the message gets lost. Hours of that machine are less certain in that week.",
    }),
});
