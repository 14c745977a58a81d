// How surprising is it that so many events fell so close together, somewhere in a long time?

import { ensure, ensureNotNegative, ensurePositive, ensureWhole } from "./checks.ts";
import { countTails } from "./count-tails.ts";

/**
 * P(some window of that length within the time holds `count` events or more), for events that come at a steady rate by themselves
 * (a Poisson process). `expected` is how many come in all the time; `window` and `time` are in one unit. Within a few per cent for
 * small probabilities, and never below the chance of a single window. A count of 0 is certain.
 * Throws a UsageError unless count is whole, 0 < window ≤ time, expected 0 or more.
 * Alm 1983, On the distribution of the scan statistic of a Poisson process, eq. as in Glaz, Naus & Wallenstein 2001, Scan
 * Statistics, 11.3 (recalled, and held against simulation in the tests).
 */
export function scanTail({
  count,
  window,
  time,
  expected,
}: {
  count: number;
  window: number;
  time: number;
  expected: number;
}): number {
  ensureWhole("count", count);
  ensurePositive("window", window);
  ensure(Number.isFinite(time) && time >= window, "time", time, "at least as long as the window");
  ensureNotNegative("expected", expected);
  if (count === 0) return 1;
  if (expected === 0) return 0;
  const inWindow = (expected * window) / time;
  const atLeast = countTails({ count, mean: inWindow }).upper;
  // P(exactly count − 1), as the difference of two tails would lose its digits.
  let exactly = Math.exp(-inWindow);
  for (let k = 1; k < count; k++) exactly *= inWindow / k;
  const upcrossings = Math.max(0, (count - inWindow) / count) * (expected - inWindow) * exactly;
  return Math.min(1, atLeast + (1 - atLeast) * -Math.expm1(-upcrossings));
}
