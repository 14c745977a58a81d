// How machines will be used: in many worlds, each with its own level, luck and run factor, the day on which use adds up to a limit.
import type { DuckDBConnection } from "@duckdb/node-api";
import { meanOfFactor, NORMAL_90 } from "../service/figures.ts";
import { crossingDay, useUntil, type Widening } from "./crossing.ts";
import type { Course } from "./fit.ts";
import { type ForecastBasis, loadPast, type MachineDays, type PastAsked, REACH_DAYS, type ShopPast } from "./past.ts";
import { shopCourses, useOf } from "./shop.ts";
import { noWidths, type Widths, wideningFrom } from "./surprise.ts";
import { keptWidths, widthsOf } from "./widths.ts";
import { normals } from "./worlds.ts";

export interface FutureUse {
  /** The local day of the as-of time; days ahead count from it. */
  today: string;
  /** The first day whose use is known. */
  firstDay: string;
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
  /** Use of a past local day: for what fell due already. */
  usedOn(machine: string, basis: ForecastBasis, day: number): number;
  /** Index of today in the history: what `usedOn` counts by. */
  todayIndex: number;
}

export const WORLDS = 200;
/** The share of what motor events tell is that of the last half year. */
const SHARE_DAYS = 182;
/** Where nobody knows when a machine comes back: two weeks, eight times in ten between four days and seven. */
const OUT_DAYS = { median: 14, spread: 1 };

export interface FutureAsked extends PastAsked {
  seed: number;
}

export async function futureUse(connection: DuckDBConnection, asked: FutureAsked): Promise<FutureUse> {
  const past = await loadPast(connection, asked);
  return futureFrom(past, { seed: asked.seed, widths: (await keptWidths(connection, past.today)) ?? widthsOf(past) });
}

/** Pure: the same past and seed give the same worlds. */
export function futureFrom(past: ShopPast, { seed, widths = noWidths }: { seed: number; widths?: Widths }): FutureUse {
  const widenings = new Map<string, Widening>();
  const widenOf = (machine: string): Widening => {
    const known = widenings.get(machine) ?? wideningFrom(widths, machine);
    widenings.set(machine, known);
    return known;
  };
  const machines = new Map(past.machines.map((machine) => [machine.machine, machine]));
  const courses = new Map<ForecastBasis, Map<string, Course> | null>();
  const uses = new Map<string, Float64Array>();
  const courseOf = (machine: string, basis: ForecastBasis): Course | null => {
    let known = courses.get(basis);
    if (known === undefined) {
      known = shopCourses(past, basis);
      courses.set(basis, known);
    }
    return known?.get(machine) ?? null;
  };
  const chance = (machine: string, basis: ForecastBasis) => ({
    level: normals(WORLDS, `level ${basis} ${machine}`, seed),
    luck: normals(WORLDS, `luck ${basis} ${machine}`, seed),
  });
  const delays = (id: string): Float64Array | null => {
    const machine = machines.get(id);
    return machine !== undefined && isOut(machine, past) ? outDays(id, seed) : null;
  };
  return {
    today: past.today,
    firstDay: past.firstDay,
    todayIndex: past.todayIndex,
    reachDays: REACH_DAYS,
    worlds: WORLDS,
    daysUntil(machine, basis, left) {
      const course = courseOf(machine, basis);
      if (course === null) return null;
      const { level, luck } = chance(machine, basis);
      const waits = delays(machine);
      const widen = widenOf(machine);
      return Array.from({ length: WORLDS }, (_, world) => {
        const after = waits === null ? course : delayed(course, waits[world]!);
        return crossingDay(after, left[world]!, level[world]!, luck[world]!, widen);
      });
    },
    useWithin(machine, basis, daysAhead) {
      const course = courseOf(machine, basis);
      if (course === null) return null;
      const { level, luck } = chance(machine, basis);
      const waits = delays(machine);
      const widen = widenOf(machine);
      const day = Math.min(daysAhead, course.expected.length - 1);
      return Float64Array.from({ length: WORLDS }, (_, world) => {
        const after = waits === null ? course : delayed(course, waits[world]!);
        return useUntil(after, day, level[world]!, luck[world]!, widen);
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
    usedOn(machine, basis, day) {
      const own = machines.get(machine);
      if (own === undefined) return 0;
      const key = `${basis} ${machine}`;
      const use = uses.get(key) ?? useOf(own, basis);
      uses.set(key, use);
      return use[day] ?? 0;
    },
  };
}

const isOut = ({ outages }: MachineDays, { todayIndex }: ShopPast): boolean =>
  outages.some(({ fromDay, untilDay }) => untilDay === null && fromDay < todayIndex + 1);

const outDays = (machine: string, seed: number): Float64Array =>
  normals(WORLDS, `out ${machine}`, seed).map((z) => Math.round(OUT_DAYS.median * Math.exp(OUT_DAYS.spread * z)));

/** The same course, begun only after some days out of order. */
function delayed(course: Course, days: number): Course {
  const before = days <= 0 ? 0 : (course.expected[Math.min(days, course.expected.length) - 1] ?? 0);
  return { ...course, expected: course.expected.map((sum) => Math.max(0, sum - before)) };
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
