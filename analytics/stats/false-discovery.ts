// Of many tail probabilities, which are worth a look, when only a stated share of the looks may be in vain?
import { ensure, ensureShare, ensureWhole } from "./checks.ts";

export interface Discoveries {
  /** Tail probabilities up to here are discoveries: the level in force, also where nothing came so far. */
  threshold: number;
  discoveries: number;
  /** How many would come so far though nothing is wrong anywhere: tests × threshold. */
  expectedFalse: number;
}

/**
 * The step-up rule: with the probabilities in ascending order, the largest k with p(k) ≤ rate·k/tests; the first k are
 * discoveries. Of these at most `rate` are false on average, where the tests are independent or depend on each other positively.
 * `tests` says how many there were where only the smallest probabilities are handed in (default: all are). `usualShare` is what
 * share of the tests is something as a rule: with fewer discoveries than that the level stays at rate·usualShare, so that the
 * number of false ones keeps to rate·usualShare·tests also where the list is short. None: no discovery.
 * Throws a UsageError for a rate outside (0, 1), a probability outside [0, 1], fewer tests than probabilities.
 * Benjamini & Hochberg 1995, Journal of the Royal Statistical Society B 57(1), 289–300.
 */
export function falseDiscovery(
  probabilities: readonly number[],
  {
    rate,
    tests = probabilities.length,
    usualShare = 0,
  }: { rate: number; tests?: number | undefined; usualShare?: number | undefined },
): Discoveries {
  ensureShare("rate", rate);
  ensureWhole("tests", tests);
  ensure(usualShare >= 0 && usualShare <= 1, "usualShare", usualShare, "a share from 0 to 1");
  ensure(tests >= probabilities.length, "tests", tests, `at least ${probabilities.length}, one for each probability`);
  if (tests === 0) return { threshold: 0, discoveries: 0, expectedFalse: 0 };
  const sorted = [...probabilities].sort((a, b) => a - b);
  for (const p of [sorted[0] ?? 0, sorted.at(-1) ?? 0]) ensure(p >= 0 && p <= 1, "probabilities", p, "numbers from 0 to 1");
  let steps = Math.max(1, usualShare * tests);
  for (const [index, p] of sorted.entries()) if (p <= (rate * (index + 1)) / tests) steps = Math.max(steps, index + 1);
  const threshold = (rate * steps) / tests;
  return { threshold, discoveries: sorted.filter((p) => p <= threshold).length, expectedFalse: rate * steps };
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
