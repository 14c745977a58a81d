// How many repairs a machine has had by each age, on average.
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";
import { type Insufficient, insufficient } from "../../shared/errors.ts";
import { ensureShare } from "./checks.ts";
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
  /** Limits mean·exp(±z·seRobust/mean) of `level`; null for one system. */
  low: (number | null)[];
  high: (number | null)[];
}

/**
 * Mean cumulative function of repairs, Σ d/n, with the robust standard error of Lawless & Nadeau 1995 (Technometrics 37(2)),
 * equal to the infinitesimal jackknife of R's survival, and the Poisson one √Σ d/n². Events and ends at one age: the system is
 * still under watch. Limits on the log scale, so that none falls below 0. No event gives `insufficient`. Nelson 1995, Technometrics 37(2); errors as for `systemsFrom`.
 */
export function repairCurve(repairs: Repairs, { level = 0.95 }: { level?: number | undefined } = {}): RepairCurve | Insufficient {
  ensureShare("level", level);
  const z = normalQuantile((1 + level) / 2, 0, 1);
  const curve: RepairCurve = { time: [], atRisk: [], events: [], mean: [], seRobust: [], sePoisson: [], low: [], high: [] };
  if (isGrouped(repairs)) {
    let sum = 0;
    for (const { until, count } of stretchesFrom(repairs)) {
      sum += count;
      pushRow(curve, z, { time: until, atRisk: 1, events: count, mean: sum, seRobust: null, sePoisson: Math.sqrt(sum) });
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
    pushRow(curve, z, {
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

type Row = { [K in Exclude<keyof RepairCurve, "low" | "high">]: RepairCurve[K][number] };

function pushRow(curve: RepairCurve, z: number, { time, atRisk, events, mean, seRobust, sePoisson }: Row): void {
  const span = seRobust === null || mean === 0 ? null : Math.exp((z * seRobust) / mean);
  curve.time.push(time);
  curve.atRisk.push(atRisk);
  curve.events.push(events);
  curve.mean.push(mean);
  curve.seRobust.push(seRobust);
  curve.sePoisson.push(sePoisson);
  curve.low.push(span && mean / span);
  curve.high.push(span && mean * span);
}

export const repairCurveNote: MethodNote = {
  help: "mean number of repairs per machine by age, with robust limits",
  title: "How many repairs by now?",
  plain: `The average number of repairs a machine of this kind has had by each age. A curve that bends upwards means that repairs come faster. ${fitCaution}`,
  formula: "M(t) = Σ d/n over event times up to t",
  source: "Nelson 1995, Technometrics 37(2); Lawless & Nadeau 1995, Technometrics 37(2)",
  example: { system: ["a", "a", "b", "c"], time: [40, 90, 75, 60], end: { a: 120, b: 100, c: 110 } },
};
