// Of many tail probabilities, which are worth a look, when only a stated share of the looks may be in vain?
import { ensure, ensureShare, ensureWhole } from "./checks.ts";

export interface Discoveries {
  /** Tail probabilities up to here are discoveries; 0 where there are none. */
  threshold: number;
  discoveries: number;
  /**
   * Discoveries to expect though nothing is wrong anywhere: rate × what was discovered, and rate × 1 where nothing was, since
   * that is how often something would have been.
   */
  expectedFalse: number;
}

/**
 * The step-up rule: with the probabilities in ascending order, the largest k with p(k) ≤ rate·k/tests; the first k are
 * discoveries. Of these at most `rate` are false on average, where the tests are independent or depend on each other positively.
 * `tests` says how many there were where only the smallest probabilities are handed in (default: all are). None: no discovery.
 * Throws a UsageError for a rate outside (0, 1), a probability outside [0, 1], fewer tests than probabilities.
 * Benjamini & Hochberg 1995, Journal of the Royal Statistical Society B 57(1), 289–300.
 */
export function falseDiscovery(
  probabilities: readonly number[],
  { rate, tests = probabilities.length }: { rate: number; tests?: number | undefined },
): Discoveries {
  ensureShare("rate", rate);
  ensureWhole("tests", tests);
  ensure(tests >= probabilities.length, "tests", tests, `at least ${probabilities.length}, one for each probability`);
  const sorted = [...probabilities].sort((a, b) => a - b);
  for (const p of [sorted[0] ?? 0, sorted.at(-1) ?? 0]) ensure(p >= 0 && p <= 1, "probabilities", p, "numbers from 0 to 1");
  let discoveries = 0;
  for (const [index, p] of sorted.entries()) if (p <= (rate * (index + 1)) / tests) discoveries = index + 1;
  return {
    threshold: discoveries === 0 ? 0 : (rate * discoveries) / tests,
    discoveries,
    expectedFalse: tests === 0 ? 0 : rate * Math.max(1, discoveries),
  };
}

/**
 * The share of the reference that is at least as far out, counting the value itself: (1 + #{reference ≥ value})/(n + 1). Whatever
 * the distribution, a value of the same kind gets p or less with probability p at most; with n of them none is below 1/(n + 1).
 * `reference` ascending. Bates, Candès, Lei, Romano & Sesia 2023, Annals of Statistics 51(1), 149–178, eq. 2.
 */
export function conformalP(reference: ArrayLike<number>, value: number): number {
  let low = 0;
  let high = reference.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (reference[middle]! < value) low = middle + 1;
    else high = middle;
  }
  return (1 + reference.length - low) / (reference.length + 1);
}
