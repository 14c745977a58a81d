// Do repairs come faster, slower, or neither? Three tests.
import chisquareCdf from "@stdlib/stats-base-dists-chisquare-cdf";
import normalCdf from "@stdlib/stats-base-dists-normal-cdf";
import { type Insufficient, insufficient } from "../../shared/errors.ts";
import { finiteOrNull } from "./checks.ts";
import { fitCaution, type MethodNote } from "./method-note.ts";
import { eventCount, type GroupedRepairs, isGrouped, type Repairs, stretchesFrom, systemsFrom } from "./repairs.ts";

export interface RepairTrend {
  /** Above 0: repairs come faster with age. Null without an event before the end. */
  laplaceU: number | null;
  /** Two-sided. */
  laplaceP: number | null;
  /** 2 Σ ln(T/t): large where repairs come slower. Null for grouped repairs. */
  milChi2: number | null;
  milDf: number | null;
  /** Lower tail: near 1 slower, near 0 faster. */
  milCdf: number | null;
  /** Pairs of gaps of which the earlier is strictly shorter, the first gap from age 0; within each system, added up. */
  reversals: number | null;
  /** Pairs there are; half of them are expected to be reversals without a trend. */
  pairs: number | null;
  events: number;
}

/**
 * Laplace's test, MIL-HDBK-189's and reverse arrangements for the events of one or several systems. Several systems: the
 * combined tests, which allow each its own rate (Kvaløy & Lindqvist 1998, Reliability Engineering & System Safety 60).
 * Failure-truncated (`end: "last-event"`): the last event only ends the watch. Grouped: Laplace alone, its mean and variance
 * those of the stretches' midpoints. Fewer than four events give `insufficient`.
 * NIST/SEMATECH e-Handbook 8.2.3.4; MIL-HDBK-189; errors as for `systemsFrom`.
 */
export function repairTrend(repairs: Repairs): RepairTrend | Insufficient {
  const systems = isGrouped(repairs) ? [] : systemsFrom(repairs);
  const grouped = isGrouped(repairs) ? groupedLaplace(repairs) : null;
  const events = eventCount(repairs);
  if (events < 4) return insufficient(events, 4);
  if (grouped !== null) {
    return { ...laplace(grouped), milChi2: null, milDf: null, milCdf: null, reversals: null, pairs: null, events };
  }
  let off = 0;
  let variance = 0;
  let milChi2 = 0;
  let inside = 0;
  let reversals = 0;
  let pairs = 0;
  for (const { times, end, endsWithEvent } of systems) {
    const before = endsWithEvent ? times.slice(0, -1) : times;
    for (const time of before) {
      off += time - end / 2;
      milChi2 += 2 * Math.log(end / time);
    }
    variance += (before.length * end * end) / 12;
    inside += before.length;
    reversals += countReversals(times.map((time, i) => time - (times[i - 1] ?? 0)));
    pairs += (times.length * (times.length - 1)) / 2;
  }
  const milDf = 2 * inside;
  return {
    ...laplace(off / Math.sqrt(variance)),
    milChi2: inside > 0 ? milChi2 : null,
    milDf,
    milCdf: inside > 0 ? chisquareCdf(milChi2, milDf) : null,
    reversals,
    pairs,
    events,
  };
}

function laplace(u: number): { laplaceU: number | null; laplaceP: number | null } {
  const laplaceU = finiteOrNull(u);
  return { laplaceU, laplaceP: laplaceU === null ? null : 2 * normalCdf(-Math.abs(laplaceU), 0, 1) };
}

/** The counts against equal rates: midpoints weighted by count, less their mean, over the standard deviation given the total. */
function groupedLaplace(repairs: GroupedRepairs): number {
  const stretches = stretchesFrom(repairs);
  const end = stretches.at(-1)?.until ?? 0;
  let total = 0;
  let off = 0;
  let variance = 0;
  for (const { from, until, count } of stretches) {
    const fromMiddle = (from + until - end) / 2;
    total += count;
    off += count * fromMiddle;
    variance += ((until - from) / end) * fromMiddle * fromMiddle;
  }
  return off / Math.sqrt(total * variance);
}

/** Pairs i < j with gaps[i] < gaps[j], by merging: n log n. */
function countReversals(gaps: readonly number[]): number {
  if (gaps.length < 2) return 0;
  const half = gaps.length >> 1;
  const left = gaps.slice(0, half);
  const right = gaps.slice(half);
  let count = countReversals(left) + countReversals(right);
  left.sort((a, b) => a - b);
  right.sort((a, b) => a - b);
  let shorter = 0;
  for (const gap of right) {
    while (shorter < left.length && left[shorter]! < gap) shorter++;
    count += shorter;
  }
  return count;
}

export const repairTrendNote: MethodNote = {
  help: "tests whether repairs come faster or slower with age",
  title: "Do repairs come faster?",
  plain: `Three tests of whether breakdowns crowd towards the end (the machine gets worse) or the beginning (it gets better). A p-value above 0.05 means the log doesn't settle it. ${fitCaution}`,
  formula: "U = Σ(t − T/2) / √(n·T²/12); χ² = 2·Σ ln(T/t), 2n degrees of freedom; reversals = pairs of gaps that grew",
  source: "NIST/SEMATECH e-Handbook 8.2.3.4; MIL-HDBK-189; Kvaløy & Lindqvist 1998",
  example: { time: [5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478], end: 1500 },
};
