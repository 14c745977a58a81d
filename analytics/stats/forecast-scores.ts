// How good were the forecasts?

import gammaln from "@stdlib/math-base-special-gammaln";
import binomialCdf from "@stdlib/stats-base-dists-binomial-cdf";
import chisquareCdf from "@stdlib/stats-base-dists-chisquare-cdf";
import normalCdf from "@stdlib/stats-base-dists-normal-cdf";
import { type Insufficient, insufficient } from "../../shared/errors.ts";
import { ensure, ensureHits, ensurePositive, ensureShare } from "./checks.ts";
import type { MethodNote } from "./method-note.ts";

/**
 * Continuous ranked probability score of an ensemble against what happened, in their unit; 0 is perfect, and for one member it
 * is the absolute error. `plain` takes all m² pairs of members, `fair` the m(m − 1) unlike ones. No member gives
 * `insufficient` (fair: fewer than two). Gneiting & Raftery 2007, JASA 102; fair: Ferro 2014, QJRMS 140.
 */
export function crpsEnsemble(
  ensemble: readonly number[],
  observed: number,
  kind: "plain" | "fair" = "plain",
): number | Insufficient {
  for (const [i, one] of ensemble.entries()) ensure(Number.isFinite(one), `ensemble[${i}]`, one, "a number");
  ensure(Number.isFinite(observed), "observed", observed, "a number");
  const m = ensemble.length;
  const need = kind === "fair" ? 2 : 1;
  if (m < need) return insufficient(m, need);
  const sorted = [...ensemble].sort((a, b) => a - b);
  let miss = 0;
  let apart = 0;
  for (const [i, one] of sorted.entries()) {
    miss += Math.abs(one - observed);
    // Σ over pairs of |a − b| from the order alone: the i-th is the larger in i pairs and the smaller in m − 1 − i.
    apart += 2 * (2 * i + 1 - m) * one;
  }
  return Math.max(miss / m - apart / (2 * m * (kind === "fair" ? m - 1 : m)), kind === "fair" ? Number.NEGATIVE_INFINITY : 0);
}

/** The same for a normal forecast, in closed form. Gneiting & Raftery 2007, JASA 102. */
export function crpsNormal({ mean, sd }: { mean: number; sd: number }, observed: number): number {
  ensurePositive("sd", sd);
  const z = (observed - mean) / sd;
  const density = Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
  return sd * (z * (2 * normalCdf(z, 0, 1) - 1) + 2 * density - 1 / Math.sqrt(Math.PI));
}

/** Width of a 1 − alpha interval plus 2/alpha times how far outside the truth fell. Gneiting & Raftery 2007, 6.2. */
export function intervalScore(
  { lower, upper, alpha }: { lower: number; upper: number; alpha: number },
  observed: number,
): number {
  return upper - lower + (2 / alpha) * (Math.max(lower - observed, 0) + Math.max(observed - upper, 0));
}

export interface IntervalForecastScore {
  /** Mean interval score, in the unit of the forecasts. */
  score: number;
  /** Share of what happened that fell inside, ends included. */
  coverage: number;
  /** Exact two-sided p-value of that many hits if the intervals hold what they promise. */
  coverageP: number;
}

/**
 * Scores of 1 − alpha intervals, one for all or one each. Nothing observed gives `insufficient`.
 * Throws a UsageError where upper is below lower, lists differ in length, or alpha is outside 0–1.
 */
export function scoreIntervals({
  lower,
  upper,
  alpha,
  observed,
}: {
  lower: number | readonly number[];
  upper: number | readonly number[];
  alpha: number;
  observed: readonly number[];
}): IntervalForecastScore | Insufficient {
  ensureShare("alpha", alpha);
  const n = observed.length;
  const each = (field: string, bound: number | readonly number[], i: number): number => {
    if (typeof bound === "number") return bound;
    ensure(bound.length === n, field, bound.length, `${n} values, as many as observed`);
    return bound[i]!;
  };
  let score = 0;
  let hits = 0;
  for (const [i, one] of observed.entries()) {
    ensure(Number.isFinite(one), `observed[${i}]`, one, "a number");
    const from = each("lower", lower, i);
    const until = each("upper", upper, i);
    ensure(until >= from, typeof upper === "number" ? "upper" : `upper[${i}]`, until, `at least lower = ${from}`);
    score += intervalScore({ lower: from, upper: until, alpha }, one) / n;
    if (one >= from && one <= until) hits++;
  }
  if (n === 0) return insufficient(0, 1);
  return { score, coverage: hits / n, coverageP: binomialTwoSided(hits, n, 1 - alpha) };
}

/**
 * Exact two-sided p-value of `hits` in `trials` at a chance p: the total chance of outcomes no likelier than this one
 * (as R's binom.test). Throws a UsageError unless both are whole and hits no more than trials.
 */
export function binomialTwoSided(hits: number, trials: number, p: number): number {
  ensureHits(hits, trials);
  ensureShare("p", p);
  const chance = (k: number) =>
    Math.exp(gammaln(trials + 1) - gammaln(k + 1) - gammaln(trials - k + 1) + k * Math.log(p) + (trials - k) * Math.log1p(-p));
  // A hair of slack, so that outcomes exactly as likely count in spite of rounding.
  const bar = chance(hits) * (1 + 1e-7);
  const mode = Math.floor((trials + 1) * p);
  // Chances rise up to the mode and fall from it: the far tail begins where they first drop to the bar.
  if (hits === trials * p) return 1;
  if (hits < trials * p) {
    let [low, high] = [mode, trials + 1];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (chance(middle) <= bar) high = middle;
      else low = middle + 1;
    }
    return Math.min(1, binomialCdf(hits, trials, p) + (low > trials ? 0 : 1 - binomialCdf(low - 1, trials, p)));
  }
  let [low, high] = [-1, mode];
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (chance(middle) <= bar) low = middle;
    else high = middle - 1;
  }
  return Math.min(1, 1 - binomialCdf(hits - 1, trials, p) + (low < 0 ? 0 : binomialCdf(low, trials, p)));
}

/** Kupiec's likelihood-ratio test of coverage (1995): statistic, and p from χ² with one degree of freedom. */
export function kupiec(hits: number, trials: number, p: number): { statistic: number; p: number } {
  ensureHits(hits, trials);
  ensureShare("p", p);
  const log = (count: number, share: number) => (count === 0 ? 0 : count * Math.log(share));
  const seen = hits / trials;
  const fitted = log(hits, seen) + log(trials - hits, 1 - seen);
  const statistic = Math.max(2 * (fitted - log(hits, p) - log(trials - hits, 1 - p)), 0);
  return { statistic, p: 1 - chisquareCdf(statistic, 1) };
}

export const forecastScoreNote: MethodNote = {
  help: "scores of forecasts: an ensemble (CRPS), or intervals (interval score, coverage)",
  title: "How good was the forecast?",
  plain:
    "One number that rewards forecasts for being close and for being honest about their spread, and whether as many truths fell inside the intervals as promised.",
  formula: "CRPS = E|X − y| − E|X − X′|/2; interval score = width + 2/α·distance outside",
  source: "Gneiting & Raftery 2007, Journal of the American Statistical Association 102",
  example: { lower: 4, upper: 10, alpha: 0.1, observed: [5, 9, 13] },
};
