// A group's week against what the weeks before it said, the whole shop's tide taken out.
import { median } from "simple-statistics";
import { calibrationThrough } from "../../stats/calibration.ts";
import { countTails } from "../../stats/count-tails.ts";
import { falseDiscovery } from "../../stats/false-discovery.ts";

export interface GroupWeek {
  group: string;
  week: number;
  turns: number;
  units: number;
  /** Share of the units' open time in order. */
  inOrder: number;
  /** Share of the units' open time in which their stations were not silent. */
  heard: number;
  /** Open hours from Monday to Sunday; all 0 where no opening hours are given. */
  openHours: readonly number[];
  /** Turns of the whole shop from Monday to Sunday. */
  turnsByDay: readonly number[];
}

export interface WeekJudged {
  expected: number;
  /** Four weeks in five of such a group lie between. */
  low: number;
  high: number;
  /** Both sides. */
  tail: number;
  /** The shop's other groups, this week against what was expected of them. */
  tide: number;
  /** What is not known of level and tide, as a share of the squared mean. */
  unsure: number;
}

const WEEKS_BEFORE = 12;
const FEWEST_WEEKS = 4;
const FEWEST_EXPECTED = 3;
/** A week in which more of the units' time went by unheard says nothing of use. */
const LEAST_HEARD = 0.95;
/** Weeks this far out don't teach the ones that follow. */
const LEFT_OUT = 1e-3;
/** Fitted tails at which ordinary weeks are counted, so that chance comes out as it is: counts are whole, and bounds add up. */
const LEVELS = [0.5, 0.3, 0.2, 0.1, 0.05] as const;
/** How much of a group's own surprise counts for the tide: one odd group must not move the others. */
const TIDE_FROM = 0.5;
const TIDE_TO = 1.6;
/** One group's week in so many is off its trend, as a rule. */
const USUAL_SHARE = 1 / 200;
/** Weeks scatter a little more than chance alone even where nothing changed; learned from the log, at least this. */
const LEAST_SCATTER = 0.002;

interface Cell<One> {
  row: One;
  exposure: number;
  plain: number;
  learned: number;
}

/**
 * Weeks far from what was to be expected. Expected is the group's own turns per unit of exposure over the twelve weeks before, those
 * far out left aside, times this week's exposure, times the tide: how the shop's other groups did against theirs, no group
 * counting for more than half to 1.6 times what was expected of it. Exposure is open hours, each weekday weighted by how busy it is
 * in this shop, times the share in which a unit was in order. The count's tail is negative binomial, with what is not known of level
 * and tide, and the scatter seen in this shop, as its overdispersion. The first four weeks and groups with next to no use say nothing.
 */
export function offTrend<One extends GroupWeek>(
  rows: readonly One[],
  { rate }: { rate: number },
): { weeks: (One & WeekJudged)[]; threshold: number; expectedFalse: number; judged: (One & WeekJudged)[] } {
  const weights = weekdayWeights(rows);
  const weeks = [...new Set(rows.map(({ week }) => week))].sort((a, b) => a - b);
  const byWeek = new Map<number, One[]>(weeks.map((week) => [week, []]));
  for (const row of rows) byWeek.get(row.week)!.push(row);
  const scatter = Math.max(LEAST_SCATTER, scatterOf(judgeAll(weeks, byWeek, weights, null)));
  const raw = judgeAll(weeks, byWeek, weights, scatter);
  const ordinary = raw.filter(({ tail }) => tail > LEFT_OUT);
  const calibrate = calibrationThrough(
    LEVELS.map((level) => ({ level, beyond: ordinary.filter(({ tail }) => tail <= level).length })),
    raw.length,
  );
  const judged = raw.map((week) => ({ ...week, tail: calibrate(week.tail) }));
  const { threshold, expectedFalse } = falseDiscovery(
    judged.map(({ tail }) => tail),
    { rate, usualShare: USUAL_SHARE },
  );
  return { weeks: judged.filter(({ tail }) => tail <= threshold), judged, threshold, expectedFalse };
}

/** How busy an open hour of each weekday is against the mean; 1 throughout where there are no opening hours. */
function weekdayWeights(rows: readonly GroupWeek[]): number[] {
  const hours = new Array<number>(7).fill(0);
  const turns = new Array<number>(7).fill(0);
  const seen = new Set<number>();
  for (const { week, openHours, turnsByDay } of rows) {
    if (seen.has(week)) continue;
    seen.add(week);
    for (let day = 0; day < 7; day++) {
      hours[day]! += openHours[day]!;
      if (openHours[day]! > 0) turns[day]! += turnsByDay[day]!;
    }
  }
  const mean =
    turns.reduce((a, b) => a + b, 0) /
    Math.max(
      1e-9,
      hours.reduce((a, b) => a + b, 0),
    );
  return hours.map((open, day) => (open > 0 && mean > 0 ? turns[day]! / open / mean : 1));
}

function judgeAll<One extends GroupWeek>(
  weeks: readonly number[],
  byWeek: ReadonlyMap<number, readonly One[]>,
  weights: readonly number[],
  /** Null: not known yet; then only what is four standard deviations out is told from the rest. */
  scatter: number | null,
): (One & WeekJudged)[] {
  const past = new Map<string, { turns: number; exposure: number }[]>();
  const judged: (One & WeekJudged)[] = [];
  for (const week of weeks) {
    const cells = byWeek
      .get(week)!
      .filter(({ heard }) => heard >= LEAST_HEARD)
      .map((row): Cell<One> => {
        const open = row.openHours.reduce((sum, hours, day) => sum + hours * weights[day]!, 0);
        // Without opening hours every week is as long; with several units the others stand in for one that is out.
        const exposure = (row.openHours.some((hours) => hours > 0) ? open : 1) * Math.min(1, row.inOrder * row.units);
        const before = (past.get(row.group) ?? []).slice(-WEEKS_BEFORE);
        const turns = before.reduce((sum, one) => sum + one.turns, 0);
        const exposed = before.reduce((sum, one) => sum + one.exposure, 0);
        const isKnown = before.length >= FEWEST_WEEKS && exposed > 0;
        return { row, exposure, plain: isKnown ? ((turns + 0.5) / exposed) * exposure : Number.NaN, learned: turns + 0.5 };
      });
    for (const cell of cells) {
      const { row, exposure, plain, learned } = cell;
      const others = cells.filter((other) => other !== cell && other.plain >= FEWEST_EXPECTED);
      const expectedOfOthers = others.reduce((sum, other) => sum + other.plain, 0);
      const tide =
        expectedOfOthers > 0
          ? others.reduce(
              (sum, other) => sum + Math.min(TIDE_TO * other.plain, Math.max(TIDE_FROM * other.plain, other.row.turns)),
              0,
            ) / expectedOfOthers
          : 1;
      const expected = plain * tide;
      let tail = 1;
      if (expected >= FEWEST_EXPECTED && exposure > 0) {
        const unsure = 1 / learned + (expectedOfOthers > 0 ? 1 / expectedOfOthers : 0);
        const overdispersion = (scatter ?? 0) + unsure;
        const sd = Math.sqrt(expected + overdispersion * expected ** 2);
        if (scatter === null) tail = Math.abs(row.turns - expected) > 4 * sd ? 0 : 1;
        else {
          const tails = countTails({ count: row.turns, mean: expected, overdispersion });
          tail = Math.min(1, 2 * Math.min(tails.upper, tails.lower));
        }
        judged.push({
          ...row,
          expected,
          low: Math.max(0, expected - 1.2816 * sd),
          high: expected + 1.2816 * sd,
          tail,
          tide,
          unsure,
        });
      }
      if (tail > LEFT_OUT && exposure > 0) {
        const list = past.get(row.group) ?? [];
        // What the tide took or gave is put back, so that a quiet fortnight does not lower the level.
        list.push({ turns: row.turns, exposure: exposure * (Number.isFinite(plain) ? shrunk(tide) : 1) });
        past.set(row.group, list);
      }
    }
  }
  return judged;
}

/** Half of the tide passes into the level: it may be the season, which stays, or a holiday, which goes. */
const shrunk = (tide: number): number => Math.sqrt(tide);

/** What weeks scatter beyond chance, in units of the squared mean: from the median squared residual, so that odd weeks don't count. */
function scatterOf(judged: readonly (GroupWeek & WeekJudged)[]): number {
  if (judged.length < 30) return 0.02;
  // The median of a squared standard normal is 0.4549.
  const excess = judged.map(
    ({ turns, expected, unsure }) => ((turns - expected) ** 2 / 0.4549 - expected) / expected ** 2 - unsure,
  );
  return Math.min(0.2, Math.max(0, median(excess)));
}
