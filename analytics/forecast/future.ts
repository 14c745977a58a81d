// How machines will be used: in many worlds, each with its own level, luck and run factor, the day on which use adds up to a limit.
import type { DuckDBConnection } from "@duckdb/node-api";
import { meanOfFactor, NORMAL_90 } from "../service/figures.ts";
import { crossingDay, seenFrom, useUntil, type Widened, widened, widenings } from "./crossing.ts";
import type { Course } from "./fit.ts";
import { type ForecastBasis, loadPast, type MachineDays, type PastAsked, REACH_DAYS, type ShopPast } from "./past.ts";
import { shopCourses, useOf } from "./shop.ts";
import { noWidths, type Widths, wideningFrom } from "./surprise.ts";
import { keptWidths, widthsOf } from "./widths.ts";
import { normals } from "./worlds.ts";

export interface FutureUse {
  /** The local day of the as-of time; days ahead count from it. */
  today: string;
  /** How many days ahead it reaches. */
  reachDays: number;
  worlds: number;
  /**
   * In each world the day ahead (0 is today) by whose end use from now on adds up to `left[world]`, infinite beyond the reach. Null
   * where there is too little past to go by.
   */
  daysUntil(machine: string, basis: ForecastBasis, left: ArrayLike<number>): number[] | null;
  /** In each world the use from now to the end of so many days ahead (0 is today); null as above. */
  useWithin(machine: string, basis: ForecastBasis, daysAhead: number): Float64Array | null;
  /** In each world the run factor over its mean. */
  factorRatios(machine: string): Float64Array;
  /** Share of a machine's run-hours that the run factor applies to. */
  factoredShare(machine: string): number;
  /** How many days ago use until now was by so much less than it is, as a number up to 0; not beyond the history. */
  daysAgo(machine: string, basis: ForecastBasis, excess: number): number;
}

export const WORLDS = 200;
/** The share of what motor events tell is that of the last half year. */
const SHARE_DAYS = 182;
/** Where nobody knows when a machine comes back: two weeks, eight times in ten between four days and seven. */
const OUT_DAYS = { median: 14, spread: 1 };

export interface FutureAsked extends PastAsked {
  seed: number;
}

export async function futureUse(connection: DuckDBConnection, { seed, ...asked }: FutureAsked): Promise<FutureUse> {
  const { past, restOfToday } = await loadPast(connection, asked);
  return futureFrom(past, { seed, restOfToday, widths: (await keptWidths(connection, past.today)) ?? widthsOnce(past) });
}

/** What follows from a past alone, kept as long as that is. */
interface Followed {
  courses: Map<ForecastBasis, Map<string, Course> | null>;
  sums: Map<string, Float64Array>;
  widths: Widths | null;
  /** Courses as wide as `wideBy` says, which changes once a week. */
  wide: Map<string, Widened>;
  wideBy: string;
}
const followed = new WeakMap<ShopPast, Followed>();
function followedFrom(past: ShopPast): Followed {
  const known = followed.get(past) ?? { courses: new Map(), sums: new Map(), widths: null, wide: new Map(), wideBy: "" };
  followed.set(past, known);
  return known;
}

function widthsOnce(past: ShopPast): Widths {
  const known = followedFrom(past);
  known.widths ??= widthsOf(past);
  return known.widths;
}

export interface FutureOptions {
  seed: number;
  widths?: Widths;
  /** Share of today still to come, 0 to 1. */
  restOfToday?: number;
}

/** Pure: the same past and seed give the same worlds. */
export function futureFrom(past: ShopPast, { seed, widths = noWidths, restOfToday = 1 }: FutureOptions): FutureUse {
  const kept = followedFrom(past);
  const { courses, sums } = kept;
  const wideBy = JSON.stringify(widths);
  if (kept.wideBy !== wideBy) {
    kept.wide.clear();
    kept.wideBy = wideBy;
  }
  const machines = new Map(past.machines.map((machine) => [machine.machine, machine]));
  const widest = past.days.count - past.todayIndex;
  const wideOf = (machine: string, basis: ForecastBasis): Widened | null => {
    const key = `${basis} ${machine}`;
    const known = kept.wide.get(key);
    if (known !== undefined) return known;
    if (!courses.has(basis)) courses.set(basis, shopCourses(past, basis));
    const course = courses.get(basis)?.get(machine);
    if (course === undefined) return null;
    const made = widened(course, widenings(wideningFrom(widths, machine), widest));
    kept.wide.set(key, made);
    return made;
  };
  const courseOf = (machine: string, basis: ForecastBasis): Widened | null => {
    const wide = wideOf(machine, basis);
    return wide && seenFrom(wide, restOfToday);
  };
  const chances = new Map<string, { level: Float64Array; luck: Float64Array }>();
  const chance = (machine: string, basis: ForecastBasis) => {
    const key = `${basis} ${machine}`;
    const known = chances.get(key) ?? {
      level: normals(WORLDS, `level ${key}`, seed),
      luck: normals(WORLDS, `luck ${key}`, seed),
    };
    chances.set(key, known);
    return known;
  };
  const delays = (id: string): Float64Array | null => {
    const machine = machines.get(id);
    return machine !== undefined && isOut(machine, past) ? outDays(id, seed) : null;
  };
  const sumsOf = (machine: string, basis: ForecastBasis): Float64Array | null => {
    const own = machines.get(machine);
    if (own === undefined) return null;
    const key = `${basis} ${machine}`;
    const known = sums.get(key) ?? sumsBefore(useOf(own, basis), past.todayIndex);
    sums.set(key, known);
    return known;
  };
  return {
    today: past.today,
    reachDays: REACH_DAYS,
    worlds: WORLDS,
    daysUntil(machine, basis, left) {
      const course = courseOf(machine, basis);
      if (course === null) return null;
      const { level, luck } = chance(machine, basis);
      const waits = delays(machine);
      return Array.from({ length: WORLDS }, (_, world) => {
        const after = waits === null ? course : delayed(course, waits[world]!);
        return crossingDay(after, left[world]!, level[world]!, luck[world]!);
      });
    },
    useWithin(machine, basis, daysAhead) {
      const course = courseOf(machine, basis);
      if (course === null) return null;
      const { level, luck } = chance(machine, basis);
      const waits = delays(machine);
      const day = Math.min(daysAhead, course.expected.length - 1);
      return Float64Array.from({ length: WORLDS }, (_, world) => {
        const after = waits === null ? course : delayed(course, waits[world]!);
        return useUntil(after, day, level[world]!, luck[world]!);
      });
    },
    factorRatios(machine) {
      const factor = machines.get(machine)?.factor ?? null;
      if (factor === null) return new Float64Array(WORLDS).fill(1);
      const { low, best, high } = factor.factor;
      const mean = meanOfFactor(factor);
      return normals(WORLDS, `factor ${machine}`, seed).map(
        (z) => Math.max(0.05 * best, best + ((z < 0 ? best - low : high - best) * z) / NORMAL_90) / mean,
      );
    },
    factoredShare(machine) {
      const own = machines.get(machine);
      return own === undefined ? 1 : factoredShare(own, past.todayIndex);
    },
    daysAgo(machine, basis, excess) {
      const before = sumsOf(machine, basis);
      if (before === null) return 0;
      const whole = before[past.todayIndex]!;
      // The last day before which use had not yet come to what it was then.
      const wanted = whole - excess - 1e-9;
      let [low, high] = [0, past.todayIndex];
      while (low < high) {
        const middle = (low + high + 1) >> 1;
        if (before[middle]! < wanted) low = middle;
        else high = middle - 1;
      }
      return low - past.todayIndex;
    },
  };
}

function sumsBefore(use: Float64Array, until: number): Float64Array {
  const sums = new Float64Array(until + 1);
  for (let day = 0; day < until; day++) sums[day + 1] = sums[day]! + use[day]!;
  return sums;
}

const isOut = ({ outages }: MachineDays, { todayIndex }: ShopPast): boolean =>
  outages.some(({ fromDay, untilDay }) => untilDay === null && fromDay < todayIndex + 1);

const outDays = (machine: string, seed: number): Float64Array =>
  normals(WORLDS, `out ${machine}`, seed).map((z) => Math.round(OUT_DAYS.median * Math.exp(OUT_DAYS.spread * z)));

/** The same course, begun only after some days out of order. */
function delayed(course: Widened, days: number): Widened {
  const before = days <= 0 ? course.gone : (course.expected[Math.min(days, course.expected.length) - 1] ?? 0);
  return { ...course, gone: Math.max(course.gone, before) };
}

function factoredShare(machine: MachineDays, today: number): number {
  const factor = meanOfFactor(machine.factor);
  let factored = 0;
  let all = 0;
  for (let day = Math.max(0, today - SHARE_DAYS); day < today; day++) {
    factored += factor * machine.factoredHours[day]!;
    all += machine.motorHours[day]! + factor * machine.factoredHours[day]!;
  }
  return all > 0 ? factored / all : 1;
}
