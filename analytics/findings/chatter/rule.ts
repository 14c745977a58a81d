// A station whose contact bounces more often than chance gives.
import { rule } from "../rule.ts";
import { tooMany } from "../station-weeks/judge.ts";
import { isInSpan, percentText, stationWeeks } from "../station-weeks/weeks.ts";

export const chatter = rule({
  name: "chatter",
  version: 1,
  severity: "medium",
  summary: "a station's contact bounced in more sessions of a week than chance gives",
  defaults: { false_discovery: 0.1 },
  why: "A contact may bounce now and then, so a station's week is held against the shop's own rate, found without the weeks that stand out. One flag in ten may be chance; one station's week in 200 is taken to be in trouble as a rule, so with few flags the line is at 1 in 2000.",
  weighty: ["count"],
  async find(asked) {
    const isIn = isInSpan(asked);
    const weeks = await stationWeeks(asked);
    const {
      weeks: found,
      shop,
      expectedFalse,
    } = tooMany(
      weeks.map((week) => ({ ...week, count: week.bounced })),
      { rate: asked.knobs.false_discovery, isIn },
    );
    return found.filter(isIn).map((week) => ({
      key: `${week.station} ${week.from.toISOString()}`,
      machine: week.machine,
      group: null,
      room: null,
      station: week.station,
      badge: null,
      from: week.from,
      until: week.until,
      score: -Math.log10(Math.max(week.tail, 1e-300)),
      expectedFalse,
      evidence: {
        text: `In ${week.count} of ${week.sessions} sessions at station ${week.station} in that week the contact closed more than once (${week.bounces} times too often in all); at the shop's usual ${percentText(shop.rate)} it would have been ${week.expected.toFixed(1)} sessions.`,
        unknown:
          "The log can't know why: a worn spring or contact, a bent badge, or somebody who moves the badge in the holder. Each closing wears the contactor.",
        figures: {
          count: week.count,
          sessions: week.sessions,
          share: week.count / week.sessions,
          usualShare: shop.rate,
          expected: week.expected,
          overdispersion: shop.overdispersion,
          tail: week.tail,
        },
      },
    }));
  },
});
