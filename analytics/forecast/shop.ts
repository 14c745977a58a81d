// From the shop's past to a course for each machine and unit. Pure.

import { meanOfFactor } from "../service/figures.ts";
import { type Course, coursesOf, FIT, type FitOptions, type PastUse } from "./fit.ts";
import type { ForecastBasis, MachineDays, ShopPast } from "./past.ts";

/** Use of each past day in one unit; run-hours at the mean run factor, as what is used so far. */
export function useOf(machine: MachineDays, basis: ForecastBasis): Float64Array {
  switch (basis) {
    case "hours": {
      const factor = meanOfFactor(machine.factor);
      return machine.motorHours.map((hours, day) => hours + factor * machine.factoredHours[day]!);
    }
    case "load-hours":
      return machine.loadHours;
    case "starts":
      return machine.starts;
    case "use-days":
      return machine.starts.map((starts) => (starts > 0 ? 1 : 0));
    case "cycles":
      return machine.kind === "stations" ? machine.sessions : machine.starts;
  }
}

/** A course for each machine by its id, as its past up to `until` tells; null where the shop's past is too short. */
export function shopCourses(past: ShopPast, basis: ForecastBasis, options: FitOptions = FIT): Map<string, Course> | null {
  const { days, todayIndex: today, firstYear } = past;
  const courses = new Map<string, Course>();
  const fitted: PastUse[] = [];
  for (const machine of past.machines) {
    const out = outShares(machine, past);
    if (machine.kind === "always-on" || machine.kind === "meter") {
      const course = steadyCourse(machine, basis, past, out);
      if (course !== null) courses.set(machine.machine, course);
      continue;
    }
    if (basis === "load-hours" && machine.kind !== "driven") continue;
    const use = useOf(machine, basis);
    const from = machine.fromDay ?? firstUse(use);
    const starts = sumOf(machine.starts, from, today);
    fitted.push({
      id: machine.machine,
      group: machine.group,
      isOfTide: machine.kind === "stations",
      use,
      perStart: starts > 0 ? sumOf(use, from, today) / starts : 0,
      from: Math.max(0, from),
      until: machine.untilDay ?? days.count,
      out,
    });
  }
  const found = coursesOf(fitted, { days, today, firstYear }, options);
  if (found === null) return courses.size === 0 ? null : courses;
  found.forEach((course, i) => {
    courses.set(fitted[i]!.id, course);
  });
  return courses;
}

/** Where nothing is said of when a machine came, and it was first used long after the log began, it came then. */
const LATE_DAYS = 56;
function firstUse(use: Float64Array): number {
  const first = use.findIndex((one) => one > 0);
  return first < LATE_DAYS ? 0 : first;
}

const sumOf = (use: Float64Array, from: number, until: number): number => {
  let sum = 0;
  for (let day = Math.max(0, from); day < until; day++) sum += use[day] ?? 0;
  return sum;
};

/** Share of each day that a machine is out of order. One that is out now, for nobody knows how long, counts as back tomorrow here. */
export function outShares({ outages }: Pick<MachineDays, "outages">, { days, todayIndex }: ShopPast): Float64Array {
  const out = new Float64Array(days.count);
  for (const { fromDay, untilDay } of outages) {
    const until = Math.min(days.count, untilDay ?? todayIndex);
    for (let day = Math.max(0, Math.floor(fromDay)); day < until; day++) {
      out[day] = Math.min(1, out[day]! + Math.max(0, Math.min(day + 1, until) - Math.max(day, fromDay)));
    }
  }
  return out;
}

/** Of a machine that never rests, or whose meter alone tells. */
function steadyCourse(machine: MachineDays, basis: ForecastBasis, past: ShopPast, out: Float64Array): Course | null {
  const { days, todayIndex: today } = past;
  if (machine.kind === "meter" && (basis !== "hours" || machine.rate === null)) return null;
  if (basis !== "hours" && basis !== "use-days") return null;
  const isMeter = machine.kind === "meter";
  const aDay = isMeter ? machine.rate!.rate * 24 : basis === "hours" ? 24 : 1;
  const reach = days.count - today;
  const expected = new Float64Array(reach);
  let sum = 0;
  for (let ahead = 0; ahead < reach; ahead++) {
    const isHere = today + ahead < (machine.untilDay ?? days.count);
    sum += isHere ? aDay * (1 - out[today + ahead]!) : 0;
    expected[ahead] = sum;
  }
  const levelSd = isMeter && machine.rate!.rate > 0 ? Math.sqrt(machine.rate!.rateVariance) / machine.rate!.rate : 0;
  const fano = isMeter && machine.rate!.rate > 0 ? machine.rate!.variance / machine.rate!.rate : 0;
  return { expected, levelSd: new Float64Array(reach).fill(levelSd), fano };
}
