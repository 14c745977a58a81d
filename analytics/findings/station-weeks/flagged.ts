// The weeks of stations that had more of something than chance gives, as findings.
import type { Asked, Found } from "../rule.ts";
import { type Judged, tooMany } from "./judge.ts";
import { isInSpan, type StationWeek, stationWeeks } from "./weeks.ts";

type Flagged = Judged<StationWeek & { count: number }>["weeks"][number];

/** `count` of a week's sessions had it; `text` says so, `usualShare` being the shop's own. */
export async function flaggedWeeks(
  asked: Asked<"false_discovery">,
  countOf: (week: StationWeek) => number,
  { text, unknown }: { text(week: Flagged, usualShare: number): string; unknown: string },
): Promise<Found[]> {
  const isIn = isInSpan(asked);
  const weeks = (await stationWeeks(asked)).map((week) => ({ ...week, count: countOf(week) }));
  const { weeks: found, shop, expectedFalse } = tooMany(weeks, { rate: asked.knobs.false_discovery, isIn });
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
      text: text(week, shop.rate),
      unknown,
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
}
