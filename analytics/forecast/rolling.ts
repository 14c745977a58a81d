// The forecast as it would have been made on past days, knowing nothing of the days after. Pure.
import type { Course } from "./fit.ts";
import type { ForecastBasis, MachineDays, ShopPast } from "./past.ts";
import { shopCourses, useOf } from "./shop.ts";
import { CHECKED_DAYS, type Surprise, surpriseOf } from "./surprise.ts";

/** The past as it was known at the first midnight of day `origin`, reaching so many days ahead. */
export function pastAsOf(past: ShopPast, origin: number, reachDays: number): ShopPast {
  const count = Math.min(past.days.count, origin + reachDays + 1);
  return {
    ...past,
    todayIndex: origin,
    days: { ...past.days, count, openHours: past.days.openHours?.subarray(0, count) ?? null },
    machines: past.machines
      .filter(({ fromDay }) => fromDay === null || fromDay <= origin)
      .map((machine) => ({ ...machine, outages: outagesAsOf(machine, origin) })),
  };
}

/** One that begins later is not known, nor is the end of one that lasts. */
const outagesAsOf = ({ outages }: MachineDays, origin: number): MachineDays["outages"] =>
  outages
    .filter(({ fromDay }) => fromDay < origin)
    .map(({ fromDay, untilDay }) => ({ fromDay, untilDay: untilDay !== null && untilDay <= origin ? untilDay : null }));

/** Whether a machine is out of order on day `origin`, as known then. */
export const isOutOn = ({ outages }: MachineDays, origin: number): boolean =>
  outages.some(({ fromDay, untilDay }) => fromDay < origin && (untilDay === null || untilDay > origin));

export interface Origin {
  day: number;
  courses: Map<string, Course>;
}

const FIRST_WEEKS = 8;

/** Days from which forecasts are made: every `stepDays` back from `until`, as long as some weeks of the past lie before them. */
export function originsBack(until: number, stepDays: number): number[] {
  const origins: number[] = [];
  for (let day = until; day >= FIRST_WEEKS * 7; day -= stepDays) origins.push(day);
  return origins.reverse();
}

/** The courses of each origin, in order of time. */
export function* rolledCourses(
  past: ShopPast,
  basis: ForecastBasis,
  origins: readonly number[],
  reachDays: number,
): Generator<Origin> {
  for (const day of origins) {
    const courses = shopCourses(pastAsOf(past, day, reachDays), basis);
    if (courses !== null) yield { day, courses };
  }
}

/** How what came compares with what was forecast on a past day, for every machine in order and every time ahead that is over. */
export function surprisesAt({ day, courses }: Origin, past: ShopPast, sums: Map<string, Float64Array>): Surprise[] {
  const found: Surprise[] = [];
  for (const machine of past.machines) {
    const course = courses.get(machine.machine);
    const sum = sums.get(machine.machine);
    if (course === undefined || sum === undefined || isOutOn(machine, day)) continue;
    for (const daysAhead of CHECKED_DAYS) {
      if (day + daysAhead > past.todayIndex || daysAhead > course.expected.length) continue;
      const z = surpriseOf(course, daysAhead - 1, sum[day + daysAhead]! - sum[day]!);
      if (z !== null) found.push({ machine: machine.machine, origin: day, daysAhead, z });
    }
  }
  return found;
}

/** Use from the first day of the history until the beginning of each day, by machine. */
export function runningSums(past: ShopPast, basis: ForecastBasis): Map<string, Float64Array> {
  return new Map(
    past.machines
      .filter(({ kind }) => kind === "stations" || kind === "driven")
      .map((machine) => {
        const use = useOf(machine, basis);
        const sums = new Float64Array(past.todayIndex + 1);
        for (let day = 0; day < past.todayIndex; day++) sums[day + 1] = sums[day]! + use[day]!;
        return [machine.machine, sums];
      }),
  );
}
