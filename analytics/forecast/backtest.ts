// Did windows hold? Forecasts as they would have been made on past days of the store's own log, each from what was known then, its
// width by the windows that were over by then; held against what came, and against two plain means. Pure but for `backtest`.
import type { DuckDBConnection } from "@duckdb/node-api";
import { type Insufficient, insufficient, isInsufficient } from "../../shared/errors.ts";
import { isoFromDate } from "../../shared/relation.ts";
import { crpsEnsemble } from "../stats/index.ts";
import { crossingDay, type Widened, widened, widenings } from "./crossing.ts";
import { weekdayOf } from "./exposure.ts";
import { loadPast, type PastAsked, type ShopPast } from "./past.ts";
import { isOutOn, originsBack, rolledCourses, runningSums, surprisesAt } from "./rolling.ts";
import { useOf } from "./shop.ts";
import { type Surprise, wideningFrom, widthsFrom } from "./surprise.ts";
import { windowOf } from "./window.ts";
import { normals } from "./worlds.ts";

export interface BacktestHorizon {
  weeksFrom: number;
  weeksTo: number;
  /** Windows whose median lay so many weeks ahead, and that were over by now; of them those that held. */
  windows: number;
  hits: number;
  coverage: number | Insufficient;
  /** 95 % limits, all windows of one machine counting as one cluster; of one machine there are none. */
  coverageLow: number | Insufficient;
  coverageHigh: number | Insufficient;
  /** Mean distance in days from the median to the day that came, where all three had a date and the day has come. */
  maeDays: number | Insufficient;
  maeDaysLast28: number | Insufficient;
  maeDaysWeekHours: number | Insufficient;
  crpsDays: number | Insufficient;
}

export const HORIZONS = [
  [1, 2],
  [3, 4],
  [5, 8],
  [9, 12],
] as const;

const STEP_DAYS = 14;
const REACH = 280;
const WORLDS = 100;

interface Tried {
  machine: string;
  weeks: number;
  isHit: boolean;
  /** Null where the day hasn't come. */
  miss: number | null;
  last28: number | null;
  weekHours: number | null;
  crps: number | null;
}

/** Run-hours of every machine with stations or drivers, from every other week of the log. */
export function backtestOf(past: ShopPast, seed: number): BacktestHorizon[] {
  const tried = [...windowsTried(past, seed)];
  return HORIZONS.map(([weeksFrom, weeksTo]) => {
    const own = tried.filter(({ weeks }) => weeks > weeksFrom - 1 && weeks <= weeksTo);
    const comparable = own.filter(({ miss, last28, weekHours }) => miss !== null && last28 !== null && weekHours !== null);
    const hits = own.filter(({ isHit }) => isHit).length;
    const limits = clusteredLimits(own);
    return {
      weeksFrom,
      weeksTo,
      windows: own.length,
      hits,
      coverage: own.length === 0 ? insufficient(0, 1) : hits / own.length,
      coverageLow: isInsufficient(limits) ? limits : limits.low,
      coverageHigh: isInsufficient(limits) ? limits : limits.high,
      maeDays: meanOf(comparable, ({ miss }) => miss!),
      maeDaysLast28: meanOf(comparable, ({ last28 }) => last28!),
      maeDaysWeekHours: meanOf(comparable, ({ weekHours }) => weekHours!),
      crpsDays: meanOf(
        own.filter(({ crps }) => crps !== null),
        ({ crps }) => crps!,
      ),
    };
  });
}

export async function backtest(
  connection: DuckDBConnection,
  { seed, ...asked }: PastAsked & { seed: number },
): Promise<{ asOf: string; horizons: BacktestHorizon[] }> {
  const { past } = await loadPast(connection, asked);
  return { asOf: isoFromDate(asked.asOf), horizons: backtestOf(past, seed) };
}

const meanOf = <T>(list: readonly T[], of: (one: T) => number): number | Insufficient =>
  list.length === 0 ? insufficient(0, 1) : list.reduce((sum, one) => sum + of(one), 0) / list.length;

function* windowsTried(past: ShopPast, seed: number): Generator<Tried> {
  const sums = runningSums(past, "hours");
  const uses = new Map(past.machines.map((machine) => [machine.machine, useOf(machine, "hours")]));
  const surprises: Surprise[] = [];
  for (const origin of rolledCourses(past, "hours", originsBack(past.todayIndex, STEP_DAYS), REACH)) {
    const widths = widthsFrom(surprises, origin.day);
    for (const machine of past.machines) {
      const course = origin.courses.get(machine.machine);
      const sum = sums.get(machine.machine);
      if (course === undefined || sum === undefined || isOutOn(machine, origin.day)) continue;
      const wide = widened(course, widenings(wideningFrom(widths, machine.machine), course.expected.length));
      for (const [from, to] of HORIZONS) {
        // Room for the day to come: two and a half times as far as the farthest of the bin.
        if (origin.day + 17.5 * to > past.todayIndex) continue;
        const left = course.expected[Math.round(3.5 * (from - 1 + to)) - 1]!;
        if (left <= 0) continue;
        const worlds = worldsOf(wide, left, machine.machine, seed);
        const window = windowOf(worlds);
        if (window === null || window.median < 1 || !Number.isFinite(window.late)) continue;
        const came = cameOn(sum, origin.day, left);
        const known = past.todayIndex - origin.day;
        if (came === null && window.late >= known) continue;
        const use = uses.get(machine.machine)!;
        const miss = (day: number | null): number | null => (day === null || came === null ? null : Math.abs(day - came));
        yield {
          machine: machine.machine,
          weeks: window.median / 7,
          isHit: came !== null && window.early <= came && came <= window.late,
          miss: miss(window.median),
          last28: miss(bySteadyMean(use, origin.day, left)),
          weekHours: miss(byWeekMean(use, origin.day, left, past)),
          crps:
            came === null
              ? null
              : (crpsEnsemble(
                  worlds.map((day) => Math.min(day, REACH)),
                  came,
                ) as number),
        };
      }
    }
    surprises.push(...surprisesAt(origin, past, sums));
  }
}

function worldsOf(course: Widened, left: number, machine: string, seed: number): number[] {
  const level = normals(WORLDS, `level hours ${machine}`, seed);
  const luck = normals(WORLDS, `luck hours ${machine}`, seed);
  return Array.from({ length: WORLDS }, (_, world) => crossingDay(course, left, level[world]!, luck[world]!));
}

/** Days after `origin` (0 is the same day) by whose end use came to `left`; null where it has not yet. */
function cameOn(sums: Float64Array, origin: number, left: number): number | null {
  for (let day = origin; day + 1 < sums.length; day++) if (sums[day + 1]! - sums[origin]! >= left) return day - origin;
  return null;
}

/** At the mean of the last 28 days. */
function bySteadyMean(use: Float64Array, origin: number, left: number): number | null {
  let sum = 0;
  for (let day = Math.max(0, origin - 28); day < origin; day++) sum += use[day]!;
  return sum <= 0 ? null : Math.floor((left * 28) / sum);
}

/** At the mean of each day of the week over the last eight weeks: what a mean by hour of the week comes to, by days. */
function byWeekMean(use: Float64Array, origin: number, left: number, { days }: ShopPast): number | null {
  const week = new Float64Array(7);
  for (let day = Math.max(0, origin - 56); day < origin; day++) week[weekdayOf(days, day)]! += use[day]! / 8;
  if (week.every((one) => one <= 0)) return null;
  let sum = 0;
  for (let ahead = 0; ; ahead++) {
    sum += week[weekdayOf(days, origin + ahead)]!;
    if (sum >= left) return ahead;
  }
}

/** Linearised standard error of a ratio over clusters (Cochran, Sampling Techniques, 3rd ed. 1977, section 6.3; from memory). */
function clusteredLimits(tried: readonly Tried[]): { low: number; high: number } | Insufficient {
  const clusters = new Map<string, { hits: number; trials: number }>();
  for (const { machine, isHit } of tried) {
    const cell = clusters.get(machine) ?? { hits: 0, trials: 0 };
    clusters.set(machine, { hits: cell.hits + (isHit ? 1 : 0), trials: cell.trials + 1 });
  }
  const cells = [...clusters.values()];
  if (cells.length < 2) return insufficient(cells.length, 2);
  const share = tried.filter(({ isHit }) => isHit).length / tried.length;
  const squares = cells.reduce((sum, { hits, trials }) => sum + (hits - share * trials) ** 2, 0);
  const error = Math.sqrt((cells.length / (cells.length - 1)) * squares) / tried.length;
  return { low: Math.max(0, share - 1.96 * error), high: Math.min(1, share + 1.96 * error) };
}
