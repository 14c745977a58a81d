// Which values stand out from the rest? Four rules, none of which knows why.
import tQuantile from "@stdlib/stats-base-dists-t-quantile";
import { median as medianOf } from "simple-statistics";
import { type Insufficient, insufficient } from "../../shared/errors.ts";
import { ensure, ensurePositive, ensureShare, ensureWhole } from "./checks.ts";
import type { MethodNote } from "./method-note.ts";

const fewest = 3;
// Each removal looks at all values again.
const mostRemoved = 1000;

function ensureFinite(x: readonly number[]): void {
  for (const [i, value] of x.entries()) ensure(Number.isFinite(value), `x[${i}]`, value, "a number");
}

const indices = (x: readonly number[], isOut: (value: number, i: number) => boolean): number[] =>
  x.flatMap((value, i) => (isOut(value, i) ? [i] : []));

/**
 * Generalised ESD: up to `max` outliers of otherwise normal values, at significance `alpha`. The number of outliers is the
 * largest i with statistic[i] above critical[i], even where earlier ones are not. Indices ascending. All values equal: none.
 * `max` defaults to a fifth of the values, at least 1, at most 10. Fewer than three values give `insufficient`.
 * Rosner 1983, Technometrics 25(2); NIST/SEMATECH e-Handbook 1.3.5.17.3 (meant for 25 values or more).
 */
export function gesd(
  x: readonly number[],
  { max, alpha = 0.05 }: { max?: number | undefined; alpha?: number | undefined } = {},
): { outliers: number[]; statistic: number[]; critical: number[]; removed: number[] } | Insufficient {
  ensureFinite(x);
  ensureShare("alpha", alpha);
  if (x.length < fewest) return insufficient(x.length, fewest);
  const most = max ?? Math.max(1, Math.min(10, Math.floor(x.length / 5)));
  ensureWhole("max", most, 1);
  const ceiling = Math.min(x.length - 2, mostRemoved);
  ensure(most <= ceiling, "max", most, `at most ${ceiling}: two fewer than the values, and ${mostRemoved} in any case`);
  const left = x.map((value, index) => ({ value, index }));
  const statistic: number[] = [];
  const critical: number[] = [];
  const removed: number[] = [];
  let outliers = 0;
  for (let i = 1; i <= most; i++) {
    const mean = left.reduce((sum, { value }) => sum + value, 0) / left.length;
    const sd = Math.sqrt(left.reduce((sum, { value }) => sum + (value - mean) ** 2, 0) / (left.length - 1));
    let far = 0;
    for (const [k, { value }] of left.entries()) if (Math.abs(value - mean) > Math.abs(left[far]!.value - mean)) far = k;
    const n = left.length;
    statistic.push(sd > 0 ? Math.abs(left[far]!.value - mean) / sd : 0);
    const t = tQuantile(1 - alpha / (2 * n), n - 2);
    critical.push(((n - 1) * t) / Math.sqrt((n - 2 + t * t) * n));
    removed.push(left[far]!.index);
    left.splice(far, 1);
    if (statistic[i - 1]! > critical[i - 1]!) outliers = i;
  }
  return { outliers: removed.slice(0, outliers).sort((a, b) => a - b), statistic, critical, removed };
}

/**
 * Modified z-scores 0.6745·(x − median)/MAD with the raw median absolute deviation; outliers beyond ±`limit`.
 * Where more than half of the values are equal (MAD 0) the mean absolute deviation takes its place, (x − median)/(1.2533·it),
 * and `scaledBy` says so; all equal: scores 0. Iglewicz & Hoaglin 1993, How to Detect and Handle Outliers.
 */
export function modifiedZ(
  x: readonly number[],
  { limit = 3.5 }: { limit?: number | undefined } = {},
):
  | { outliers: number[]; median: number; mad: number; scores: number[]; scaledBy: "median-deviation" | "mean-deviation" }
  | Insufficient {
  ensureFinite(x);
  ensurePositive("limit", limit);
  if (x.length < fewest) return insufficient(x.length, fewest);
  const median = medianOf([...x]);
  const deviations = x.map((value) => Math.abs(value - median));
  const mad = medianOf(deviations);
  const meanDeviation = deviations.reduce((sum, one) => sum + one, 0) / x.length;
  const perUnit = mad > 0 ? 0.6745 / mad : meanDeviation > 0 ? 1 / (Math.sqrt(Math.PI / 2) * meanDeviation) : 0;
  const scores = x.map((value) => (value - median) * perUnit);
  const scaledBy = mad > 0 ? "median-deviation" : "mean-deviation";
  return { outliers: indices(scores, (score) => Math.abs(score) > limit), median, mad, scores, scaledBy };
}

/**
 * Tukey's fences, 1.5 interquartile ranges beyond the quartiles at (n + 1)p; the outer ones at 3.
 * Tukey 1977, Exploratory Data Analysis; NIST/SEMATECH e-Handbook 7.1.6.
 */
export function fences(x: readonly number[]):
  | {
      outliers: number[];
      q1: number;
      median: number;
      q3: number;
      lower: number;
      upper: number;
      lowerOuter: number;
      upperOuter: number;
    }
  | Insufficient {
  ensureFinite(x);
  if (x.length < fewest) return insufficient(x.length, fewest);
  const sorted = [...x].sort((a, b) => a - b);
  const q1 = quartile(sorted, 0.25);
  const q3 = quartile(sorted, 0.75);
  const range = q3 - q1;
  const [lower, upper] = [q1 - 1.5 * range, q3 + 1.5 * range];
  return {
    outliers: indices(x, (value) => value < lower || value > upper),
    q1,
    median: medianOf(sorted),
    q3,
    lower,
    upper,
    lowerOuter: q1 - 3 * range,
    upperOuter: q3 + 3 * range,
  };
}

/** The value at place (n + 1)p of ascending values, between neighbours in proportion, at the ends the end. */
function quartile(sorted: readonly number[], p: number): number {
  const place = (sorted.length + 1) * p - 1;
  const below = Math.min(Math.max(Math.floor(place), 0), sorted.length - 1);
  const above = Math.min(below + 1, sorted.length - 1);
  const share = Math.min(Math.max(place - below, 0), 1);
  return sorted[below]! + share * (sorted[above]! - sorted[below]!);
}

/**
 * Fences for skewed values: hinges −1.5·e^(−4·mc)·range and +1.5·e^(3·mc)·range for a medcouple mc of 0 or more, mirrored
 * below. Tukey's hinges. Hubert & Vandervieren 2008, Computational Statistics & Data Analysis 52.
 */
export function adjustedFences(x: readonly number[]):
  | {
      outliers: number[];
      medcouple: number;
      lower: number;
      upper: number;
      lowerHinge: number;
      median: number;
      upperHinge: number;
    }
  | Insufficient {
  ensureFinite(x);
  if (x.length < fewest) return insufficient(x.length, fewest);
  const sorted = [...x].sort((a, b) => a - b);
  const half = Math.ceil(sorted.length / 2);
  const lowerHinge = medianOf(sorted.slice(0, half));
  const upperHinge = medianOf(sorted.slice(-half));
  const skew = medcouple(x);
  const range = upperHinge - lowerHinge;
  const [below, above] = skew >= 0 ? [-4, 3] : [-3, 4];
  const lower = lowerHinge - 1.5 * Math.exp(below * skew) * range;
  const upper = upperHinge + 1.5 * Math.exp(above * skew) * range;
  return {
    outliers: indices(x, (value) => value < lower || value > upper),
    medcouple: skew,
    lower,
    upper,
    lowerHinge,
    median: medianOf(sorted),
    upperHinge,
  };
}

// Every value above the median meets every one below it.
const mostForMedcouple = 4000;

/**
 * The medcouple, a robust skewness from −1 to 1: the median of ((a − m) − (m − b))/(a − b) over a ≥ m ≥ b, with the kernel
 * −1, 0, 1 by order among values tied with the median m. Up to 100 values the mean of it and of its mirror's negative, as
 * R's robustbase does. Brys, Hubert & Struyf 2004, JCGS 13. n²/4 steps: throws a UsageError beyond 4000 values.
 */
export function medcouple(x: readonly number[]): number {
  ensure(x.length >= 1 && x.length <= mostForMedcouple, "x", x.length, `1 to ${mostForMedcouple} values`);
  ensureFinite(x);
  return x.length <= 100 ? (skewOf(x) - skewOf(x.map((value) => -value))) / 2 : skewOf(x);
}

function skewOf(x: readonly number[]): number {
  const m = medianOf([...x]);
  const off = x.map((value) => value - m).sort((a, b) => b - a);
  const above = off.filter((value) => value >= 0);
  const below = off.filter((value) => value <= 0);
  // Values tied with the median stand last above it and first below it: k-th against k-th is 0.
  const ties = off.filter((value) => value === 0).length;
  const kernel = new Float64Array(above.length * below.length);
  for (const [i, a] of above.entries()) {
    for (const [j, b] of below.entries()) {
      const both = a === 0 && b === 0;
      const tied = Math.sign(ties - 1 - (i - (above.length - ties)) - j);
      kernel[i * below.length + j] = both ? tied : (a + b) / (a - b);
    }
  }
  kernel.sort();
  const middle = kernel.length >> 1;
  return kernel.length % 2 === 1 ? kernel[middle]! : (kernel[middle - 1]! + kernel[middle]!) / 2;
}

export const outliersNote: MethodNote = {
  help: "values that stand out: gesd, modified-z, fences or adjusted-fences",
  title: "Which values stand out?",
  plain:
    "Four rules that point at values far from the rest. They often disagree, and none knows why a value is far: look before you strike it out.",
  formula:
    "gesd: max|x − mean|/sd against t; modified-z: 0.6745·(x − median)/MAD; fences: quartiles ∓ 1.5·range; adjusted: with e^(medcouple)",
  source:
    "Rosner 1983; Iglewicz & Hoaglin 1993; Tukey 1977; Hubert & Vandervieren 2008; NIST/SEMATECH e-Handbook 1.3.5.17 and 7.1.6",
  example: { x: [2.1, 2.6, 2.4, 2.5, 2.3, 2.1, 2.3, 2.6, 8.2, 8.3], rule: "modified-z" },
};
