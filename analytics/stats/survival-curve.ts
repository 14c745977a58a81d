// The share still good at each age, without any assumption about the shape of the curve.
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";
import { type Insufficient, insufficient } from "../../shared/errors.ts";
import { ensure, ensureShare } from "./checks.ts";
import { isFailure, type Lives, livesFrom } from "./lives.ts";
import { fitCaution, type MethodNote } from "./method-note.ts";

/** Columns of equal length, one row for every distinct time, failed or not, ascending. */
export interface SurvivalCurve {
  time: number[];
  /** Lives under watch just before that time. */
  atRisk: number[];
  failed: number[];
  /** Kaplan–Meier, with Greenwood's standard error; null beyond survival 0. */
  survival: number[];
  se: (number | null)[];
  /** Log-log limits; null at survival 1 and 0. */
  low: (number | null)[];
  high: (number | null)[];
  /** Nelson–Aalen, standard error √Σ d/n². */
  cumulativeHazard: number[];
  cumulativeHazardSe: number[];
  /** First time with survival at or below one half; null if not reached. */
  median: number | null;
  level: number;
}

/**
 * Kaplan–Meier survival and Nelson–Aalen cumulative hazard of exact and right-censored lives, left truncation and counts
 * allowed. At one time failures come before the censored; a life enters just after its `entry`.
 * Greenwood 1926 standard errors, limits S^exp(±z·se(ln(−ln S))) (Kalbfleisch & Prentice 1980, 1.3; Klein & Moeschberger 2003,
 * 4.2–4.3). With late entries survival can reach 0 early, when the first few under watch all fail: see `atRisk`.
 * No life at all gives `insufficient`. Throws a UsageError for inspections (left- or interval-censored lives).
 */
export function survivalCurve(lives: Lives, { level = 0.95 }: { level?: number | undefined } = {}): SurvivalCurve | Insufficient {
  ensureShare("level", level);
  const known = livesFrom(lives);
  if (known.length === 0) return insufficient(0, 1);
  if ("upper" in lives) {
    for (const [i, upper] of lives.upper.entries()) {
      const isKnown = upper === null || upper === lives.lower[i];
      ensure(isKnown, `upper[${i}]`, upper, `lower[${i}] or null: a curve can't be drawn from inspections`);
    }
  }
  const z = normalQuantile((1 + level) / 2, 0, 1);
  const ends = new Map<number, { failed: number; ended: number }>();
  for (const life of known) {
    const end = ends.get(life.lower) ?? { failed: 0, ended: 0 };
    end.ended += life.count;
    if (isFailure(life)) end.failed += life.count;
    ends.set(life.lower, end);
  }
  const entries = known.map(({ entry, count }) => ({ entry, count })).sort((a, b) => a.entry - b.entry);
  const curve: SurvivalCurve = {
    time: [],
    atRisk: [],
    failed: [],
    survival: [],
    se: [],
    low: [],
    high: [],
    cumulativeHazard: [],
    cumulativeHazardSe: [],
    median: null,
    level,
  };
  let atRisk = 0;
  let next = 0;
  let survival = 1;
  let greenwood = 0;
  let hazard = 0;
  let hazardVariance = 0;
  for (const time of [...ends.keys()].sort((a, b) => a - b)) {
    // A life watched from new is at risk at age 0 too; one that came late only after its entry.
    for (let entry = entries[next]; entry && (entry.entry < time || entry.entry === 0); entry = entries[++next])
      atRisk += entry.count;
    const { failed, ended } = ends.get(time)!;
    survival = failed === atRisk ? 0 : survival * ((atRisk - failed) / atRisk);
    greenwood += failed === 0 ? 0 : failed / (atRisk * (atRisk - failed));
    hazard += failed / atRisk;
    hazardVariance += failed / atRisk ** 2;
    const inside = survival > 0 && survival < 1;
    const span = inside ? Math.exp((z * Math.sqrt(greenwood)) / Math.abs(Math.log(survival))) : 1;
    curve.time.push(time);
    curve.atRisk.push(atRisk);
    curve.failed.push(failed);
    curve.survival.push(survival);
    curve.se.push(survival > 0 ? survival * Math.sqrt(greenwood) : null);
    curve.low.push(inside ? survival ** span : null);
    curve.high.push(inside ? survival ** (1 / span) : null);
    curve.cumulativeHazard.push(hazard);
    curve.cumulativeHazardSe.push(Math.sqrt(hazardVariance));
    // One half reached by rounding alone counts as reached, as it does in exact arithmetic.
    if (curve.median === null && survival <= 0.5 + 1e-12) curve.median = time;
    atRisk -= ended;
  }
  return curve;
}

export const survivalCurveNote: MethodNote = {
  help: "share still good at each age (Kaplan–Meier) and cumulative hazard (Nelson–Aalen)",
  title: "How many are still good?",
  plain: `The share of parts still good at each age, straight from the lives, with limits. Parts taken out while good count as far as they went. ${fitCaution}`,
  formula: "S(t) = Π (1 − d/n) over failure times up to t; H(t) = Σ d/n",
  source: "Kaplan & Meier 1958; Greenwood 1926; Klein & Moeschberger, Survival Analysis (2003), ch. 4",
  example: {
    time: [10, 7, 32, 23, 22, 6, 16, 34, 32, 25, 11, 20, 19, 6, 17, 35, 6, 13, 9, 6, 10],
    status: [1, 1, 0, 1, 1, 1, 1, 0, 0, 0, 0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 0],
  },
};
