// A Weibull life from few or many lives: by maximum likelihood, by rank regression, or with the small-sample correction.
import betaQuantile from "@stdlib/stats-base-dists-beta-quantile";
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";
import { type Insufficient, insufficient } from "../../shared/errors.ts";
import { ensure, ensureShare, ensureWhole, finiteOrNull } from "./checks.ts";
import {
  differentFailures,
  ensurePositiveAges,
  failureCount,
  isExact,
  isFailure,
  type Life,
  type Lives,
  lifeCount,
  livesFrom,
} from "./lives.ts";
import { fitLocationSpread } from "./log-location-scale.ts";
import { fitCaution, type MethodNote } from "./method-note.ts";
import { log1mExp, smallestExtreme, type Weibull, weibullCumulativeHazard, weibullMean, weibullQuantile } from "./weibull.ts";

export const weibullMethods = ["mle", "rank-x-on-y", "rank-y-on-x", "reduced-bias"] as const;
export type WeibullMethod = (typeof weibullMethods)[number];

export interface WeibullFit {
  shape: number;
  /** In the unit of the lives; so are b10 and mean. */
  scale: number;
  logLikelihood: number | null;
  shapeSe: number | null;
  scaleSe: number | null;
  /** Limits symmetric on the log scale; null for rank regression, which offers none. */
  shapeLow: number | null;
  shapeHigh: number | null;
  scaleLow: number | null;
  scaleHigh: number | null;
  b10: number;
  b10Low: number | null;
  b10High: number | null;
  mean: number | null;
  /** Of ln scale and −ln shape; null for rank regression. */
  logCovariance: number | null;
  level: number;
  method: WeibullMethod;
  lives: number;
  failures: number;
  /** Steps of the climb, and that it arrived; null where nothing is climbed. */
  iterations: number | null;
  converged: true | null;
}

/**
 * Shape and scale of a Weibull life.
 *
 * `mle`: maximum likelihood for exact, right-, left- and interval-censored and left-truncated lives with counts; standard
 * errors from the observed information, limits exp(ln x ± z·se/x) (Meeker & Escobar 1998, Statistical Methods for Reliability
 * Data, ch. 8; Lawless 2003, ch. 5). `reduced-bias`: that shape times (r − 2)/(r − 0.68) for r failures (Ross 1994, IEEE Trans.
 * Dielectrics 1(2)), scale as it was; needs three failures. `rank-x-on-y`, `rank-y-on-x`: straight line through median ranks by
 * Benard, (i − 0.3)/(n + 0.4), with Johnson's adjusted ranks for suspensions (Abernethy, The New Weibull Handbook, ch. 2);
 * tied failures take ranks of their own; exact and right-censored lives without `entry` only.
 *
 * Gives `insufficient` with fewer than two failures at different times, or where the likelihood has no maximum (all failures
 * explained by one age). Throws a UsageError for lives that can't be, a level outside 0–1, rank regression of inspections.
 */
export function fitWeibull(
  lives: Lives,
  { level = 0.95, method = "mle" }: { level?: number | undefined; method?: WeibullMethod | undefined } = {},
): WeibullFit | Insufficient {
  ensureShare("level", level);
  ensurePositiveAges(lives);
  const known = livesFrom(lives);
  const need = method === "reduced-bias" ? 3 : 2;
  const failures = failureCount(known);
  const have = differentFailures(known);
  if (have < 2) return insufficient(have, need);
  if (failures < need) return insufficient(failures, need);
  const counts = { level, method, lives: lifeCount(known), failures };
  if (method === "rank-x-on-y" || method === "rank-y-on-x") return { ...fitByRanks(known, method), ...counts };
  const top = fitLocationSpread(smallestExtreme, known);
  if (top === null) return insufficient(have, have + 1);
  const shrink = method === "reduced-bias" ? rossFactor(failures) : 1;
  const z = normalQuantile((1 + level) / 2, 0, 1);
  const life = { shape: shrink / top.spread, scale: Math.exp(top.location) };
  const shapeSpan = Math.exp(z * Math.sqrt(top.varLogSpread));
  const scaleSpan = Math.exp(z * Math.sqrt(top.varLocation));
  // ln B10 = location + spread·ln(−ln 0.9): its variance by the delta method.
  const reach = Math.log(-Math.log(0.9)) / life.shape;
  const b10Span = Math.exp(z * Math.sqrt(top.varLocation + 2 * reach * top.covariance + reach * reach * top.varLogSpread));
  const b10 = weibullQuantile(0.1, life);
  return {
    ...life,
    logLikelihood: method === "mle" ? top.logLikelihood : weibullLogLikelihood(known, life),
    shapeSe: life.shape * Math.sqrt(top.varLogSpread),
    scaleSe: finiteOrNull(life.scale * Math.sqrt(top.varLocation)),
    shapeLow: life.shape / shapeSpan,
    shapeHigh: finiteOrNull(life.shape * shapeSpan),
    scaleLow: life.scale / scaleSpan,
    scaleHigh: finiteOrNull(life.scale * scaleSpan),
    b10,
    b10Low: b10 / b10Span,
    b10High: finiteOrNull(b10 * b10Span),
    mean: finiteOrNull(weibullMean(life)),
    logCovariance: top.covariance,
    ...counts,
    iterations: top.iterations,
    converged: top.converged,
  };
}

/** Ages and the share still good at each, by a fit; `low`, `high` are pointwise limits, null for rank regression. */
export interface WeibullCurve {
  time: number[];
  survival: number[];
  low: (number | null)[];
  high: (number | null)[];
}

/**
 * The fitted curve at `count` even ages up to the one that 1 % outlive, with limits from the delta method on ln(−ln S).
 * Meeker & Escobar 1998, Statistical Methods for Reliability Data, 8.4.
 */
export function weibullCurve(fit: WeibullFit, count = 60): WeibullCurve {
  ensureWhole("count", count, 2);
  const z = normalQuantile((1 + fit.level) / 2, 0, 1);
  const last = weibullQuantile(0.99, fit);
  const time = Array.from({ length: count }, (_, k) => (last * (k + 1)) / count);
  const place = time.map((t) => fit.shape * Math.log(t / fit.scale));
  const se = place.map((u) => {
    if (fit.logCovariance === null) return null;
    const [ofScale, ofShape] = [(fit.shape * fit.scaleSe!) / fit.scale, (u * fit.shapeSe!) / fit.shape];
    return Math.sqrt(ofScale * ofScale + 2 * u * fit.shape * fit.logCovariance + ofShape * ofShape);
  });
  const limit = (side: number) => place.map((u, k) => (se[k] == null ? null : Math.exp(-Math.exp(u + side * z * se[k]))));
  return { time, survival: place.map((u) => Math.exp(-Math.exp(u))), low: limit(1), high: limit(-1) };
}

/** Ross's factor for the shape of r failures: (r − 2)/(r − 0.68); 0 at r = 2. */
export function rossFactor(failures: number): number {
  ensureWhole("failures", failures, 2);
  return (failures - 2) / (failures - 0.68);
}

/** ln of the likelihood of lives under a given Weibull, whatever their censoring; −∞ where they can't have happened. */
export function weibullLogLikelihood(lives: readonly Life[], life: Weibull): number {
  let sum = 0;
  for (const { lower, upper, count, entry } of lives) {
    const from = weibullCumulativeHazard(lower, life);
    const until = upper === Number.POSITIVE_INFINITY ? upper : weibullCumulativeHazard(upper, life);
    const ended =
      lower === upper
        ? Math.log(life.shape / life.scale) + (life.shape - 1) * Math.log(lower / life.scale) - from
        : -from + (until === Number.POSITIVE_INFINITY ? 0 : log1mExp(from - until));
    sum += count * (ended + weibullCumulativeHazard(entry, life));
  }
  return sum;
}

/** Benard's approximation of the median rank i of n: (i − 0.3)/(n + 0.4); good to 0.001. Benard & Bos-Levenbach 1953. */
export const benardRank = (rank: number, n: number): number => (rank - 0.3) / (n + 0.4);

/** The exact median rank i of n: the median of a beta(i, n − i + 1). Johnson 1951. */
export const medianRank = (rank: number, n: number): number => betaQuantile(0.5, rank, n - rank + 1);

// Ranks are dealt one by one; more lives than this are a mistake or an attack.
const mostRanked = 1_000_000;

/** Johnson's adjusted ranks of the failures among failures and suspensions, in order of age; a tied failure goes first. */
export function adjustedRanks(lives: readonly Life[]): { age: number; rank: number }[] {
  const n = lifeCount(lives);
  const ordered = [...lives].sort((a, b) => a.lower - b.lower || a.upper - b.upper);
  let rank = 0;
  let ahead = n;
  const ranked: { age: number; rank: number }[] = [];
  for (const life of ordered) {
    if (isFailure(life)) {
      for (let k = 0; k < life.count; k++) {
        rank += (n + 1 - rank) / (1 + ahead);
        ahead--;
        ranked.push({ age: life.lower, rank });
      }
    } else ahead -= life.count;
  }
  return ranked;
}

function fitByRanks(lives: readonly Life[], method: "rank-x-on-y" | "rank-y-on-x") {
  const n = lifeCount(lives);
  ensure(
    lives.every((life) => life.entry === 0 && (isExact(life) || !isFailure(life))),
    "method",
    method,
    "mle for lives with entry or inspections",
  );
  ensure(n <= mostRanked, "count", n, `at most ${mostRanked} lives for rank regression`);
  const points = adjustedRanks(lives).map(
    ({ age, rank }) => [Math.log(age), Math.log(-Math.log1p(-benardRank(rank, n)))] as const,
  );
  const meanX = points.reduce((sum, [x]) => sum + x, 0) / points.length;
  const meanY = points.reduce((sum, [, y]) => sum + y, 0) / points.length;
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (const [x, y] of points) {
    xx += (x - meanX) ** 2;
    xy += (x - meanX) * (y - meanY);
    yy += (y - meanY) ** 2;
  }
  const shape = method === "rank-x-on-y" ? yy / xy : xy / xx;
  const life = { shape, scale: Math.exp(meanX - meanY / shape) };
  return {
    ...life,
    logLikelihood: finiteOrNull(weibullLogLikelihood(lives, life)),
    shapeSe: null,
    scaleSe: null,
    shapeLow: null,
    shapeHigh: null,
    scaleLow: null,
    scaleHigh: null,
    b10: weibullQuantile(0.1, life),
    b10Low: null,
    b10High: null,
    mean: finiteOrNull(weibullMean(life)),
    logCovariance: null,
    iterations: null,
    converged: null,
  };
}

export const weibullFitNote: MethodNote = {
  help: "Weibull shape and scale of lives, with limits, B10 and mean",
  title: "A life from hours run",
  plain: `How long do such parts last, and do they wear out? A shape above 1 means that old parts fail more readily than new ones; around 1, that age tells nothing. Few lives give wide limits: look at the limits first. ${fitCaution}`,
  formula: "S(t) = exp(−(t/scale)^shape); B10 = scale·(−ln 0.9)^(1/shape)",
  source: "Meeker & Escobar, Statistical Methods for Reliability Data (1998), ch. 8; NIST/SEMATECH e-Handbook 8.4.1.3",
  example: { time: [30, 49, 82, 90, 96, 10, 45, 100], status: [1, 1, 1, 1, 1, 0, 0, 0] },
};
