// A station whose sessions lack their ends more often than chance gives: a contact that fails.
import { rule } from "../rule.ts";
import { tooMany } from "../station-weeks/judge.ts";
import { isInSpan, percentText, stationWeeks } from "../station-weeks/weeks.ts";

export const missingEnd = rule({
  name: "missing-end",
  version: 1,
  severity: "medium",
  summary: "a station lost more ends of sessions in a week than chance gives",
  defaults: { false_discovery: 0.1 },
  why: "Single ends get lost anywhere, so a station's week is held against the shop's own rate, found without the weeks that stand out. What a power cut or a dead server took from several stations at once counts against none. One flag in ten may be chance; one station's week in 200 is taken to be in trouble as a rule, so with few flags the line is at 1 in 2000.",
  weighty: ["count"],
  async find(asked) {
    const isIn = isInSpan(asked);
    const weeks = await stationWeeks(asked);
    const {
      weeks: found,
      shop,
      expectedFalse,
    } = tooMany(
      weeks.map((week) => ({ ...week, count: week.missingEnds })),
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
        text: `Of ${week.sessions} sessions at station ${week.station} in that week ${week.count} had no end that was seen; at the shop's usual ${percentText(shop.rate)} it would have been ${week.expected.toFixed(1)}.`,
        unknown:
          "The log can't know why: a worn contact, a bad place for radio, or members who take the badge out as they should while the message gets lost. Hours of that machine are less certain in that week.",
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
