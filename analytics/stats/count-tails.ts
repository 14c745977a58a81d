// How far out a count, or a value in units of its own spread, stands: tail probabilities that stay exact when they are tiny.
import betainc from "@stdlib/math-base-special-betainc";
import gammainc from "@stdlib/math-base-special-gammainc";
import { ensure, ensureNotNegative, ensurePositive, ensureWhole } from "./checks.ts";

/** P(X ≥ count) and P(X ≤ count); both hold the count itself, so they add up to more than 1. */
export interface Tails {
  upper: number;
  lower: number;
}

/**
 * Tails of a count with that mean, exact to about 1e-300. `overdispersion` is what the variance has beyond the mean, in units of
 * mean²: 0 is Poisson, else negative binomial with variance mean + overdispersion·mean². Mean 0: only the count 0 can be.
 * Throws a UsageError unless count is whole, mean and overdispersion 0 or more.
 * Johnson, Kemp & Kotz 2005, Univariate Discrete Distributions, 4.2 and 5.4: as incomplete gamma and beta functions.
 */
export function countTails({
  count,
  mean,
  overdispersion = 0,
}: {
  count: number;
  mean: number;
  overdispersion?: number | undefined;
}): Tails {
  ensureWhole("count", count);
  ensureNotNegative("mean", mean);
  ensureNotNegative("overdispersion", overdispersion);
  if (mean === 0) return { upper: count === 0 ? 1 : 0, lower: 1 };
  const size = 1 / overdispersion;
  // Beyond a size of 1e7 the two agree to more digits than the incomplete beta function has.
  const atLeast = (k: number): number =>
    k === 0 ? 1 : size > 1e7 ? gammainc(mean, k, true, false) : betainc(mean / (mean + size), k, size, true, false);
  const atMost = (k: number): number =>
    size > 1e7 ? gammainc(mean, k + 1, true, true) : betainc(mean / (mean + size), k + 1, size, true, true);
  return { upper: atLeast(count), lower: atMost(count) };
}

/** P(T > t) of Student's t with `df` degrees of freedom, t of 0 or more. Abramowitz & Stegun 1964, 26.7.1 and 26.5.27. */
export function tUpper(t: number, df: number): number {
  ensureNotNegative("t", t);
  ensurePositive("df", df);
  ensure(t < 1e150, "t", t, "below 1e150");
  return betainc(df / (df + t * t), df / 2, 0.5, true, false) / 2;
}
