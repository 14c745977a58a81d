// How many repairs a machine has had by each age, on average.
import { type Insufficient, insufficient } from "../../shared/errors.ts";
import { fitCaution, type MethodNote } from "./method-note.ts";
import { isGrouped, type Repairs, stretchesFrom, systemsFrom } from "./repairs.ts";

/** Columns of equal length, one row for every event time (grouped: for every end), ascending. */
export interface RepairCurve {
  time: number[];
  /** Systems under watch at that time. */
  atRisk: number[];
  events: number[];
  /** Mean cumulative function: repairs per system so far. */
  mean: number[];
  /** From the differences between systems; null for one system, which has none. */
  seRobust: (number | null)[];
  /** As if every system broke down at random at one common rate. */
  sePoisson: number[];
}

/**
 * Mean cumulative function of repairs, Σ d/n, with the robust standard error of Lawless & Nadeau 1995 (Technometrics 37(2)),
 * equal to the infinitesimal jackknife of R's survival, and the Poisson one √Σ d/n². Events and ends at one age: the system is
 * still under watch. No event gives `insufficient`. Nelson 1995, Technometrics 37(2); errors as for `systemsFrom`.
 */
export function repairCurve(repairs: Repairs): RepairCurve | Insufficient {
  const curve: RepairCurve = { time: [], atRisk: [], events: [], mean: [], seRobust: [], sePoisson: [] };
  if (isGrouped(repairs)) {
    let sum = 0;
    for (const { until, count } of stretchesFrom(repairs)) {
      sum += count;
      pushRow(curve, { time: until, atRisk: 1, events: count, mean: sum, seRobust: null, sePoisson: Math.sqrt(sum) });
    }
    return sum === 0 ? insufficient(0, 1) : curve;
  }
  const systems = systemsFrom(repairs);
  const counts = new Map<number, Map<number, number>>();
  for (const [i, { times }] of systems.entries()) {
    for (const time of times) {
      const row = counts.get(time) ?? new Map<number, number>();
      row.set(i, (row.get(i) ?? 0) + 1);
      counts.set(time, row);
    }
  }
  if (counts.size === 0) return insufficient(0, 1);
  const ends = systems.map(({ end }, i) => ({ end, i })).sort((a, b) => a.end - b.end);
  // Robust variance: Σ over systems of (its Σ events/n − the Σ d/n² shared while it was watched)², kept as running sums.
  const own = systems.map(() => 0);
  let ownSum = 0;
  let ownSquares = 0;
  let settled = 0;
  let shared = 0;
  let gone = 0;
  let mean = 0;
  for (const time of [...counts.keys()].sort((a, b) => a - b)) {
    for (let next = ends[gone]; next && next.end < time; next = ends[++gone]) {
      settled += (own[next.i]! - shared) ** 2;
      ownSum -= own[next.i]!;
      ownSquares -= own[next.i]! ** 2;
    }
    const atRisk = systems.length - gone;
    let events = 0;
    for (const [i, count] of counts.get(time)!) {
      const before = own[i]!;
      own[i] = before + count / atRisk;
      ownSum += count / atRisk;
      ownSquares += own[i]! ** 2 - before ** 2;
      events += count;
    }
    mean += events / atRisk;
    shared += events / atRisk ** 2;
    const robust = settled + ownSquares - 2 * shared * ownSum + atRisk * shared * shared;
    pushRow(curve, {
      time,
      atRisk,
      events,
      mean,
      seRobust: systems.length > 1 ? Math.sqrt(Math.max(robust, 0)) : null,
      sePoisson: Math.sqrt(shared),
    });
  }
  return curve;
}

function pushRow(curve: RepairCurve, row: { [K in keyof RepairCurve]: RepairCurve[K][number] }): void {
  curve.time.push(row.time);
  curve.atRisk.push(row.atRisk);
  curve.events.push(row.events);
  curve.mean.push(row.mean);
  curve.seRobust.push(row.seRobust);
  curve.sePoisson.push(row.sePoisson);
}

export const repairCurveNote: MethodNote = {
  help: "mean number of repairs per machine by age, with robust limits",
  title: "How many repairs by now?",
  plain: `The average number of repairs a machine of this kind has had by each age. A curve that bends upwards means that repairs come faster. ${fitCaution}`,
  formula: "M(t) = Σ d/n over event times up to t",
  source: "Nelson 1995, Technometrics 37(2); Lawless & Nadeau 1995, Technometrics 37(2)",
  example: { system: ["a", "a", "b", "c"], time: [40, 90, 75, 60], end: { a: 120, b: 100, c: 110 } },
};
