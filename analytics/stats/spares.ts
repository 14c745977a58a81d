// How many spares to keep.
import poissonCdf from "@stdlib/stats-base-dists-poisson-cdf";
import { ensure, ensureNotNegative, ensureShare } from "./checks.ts";
import { fitCaution, type MethodNote } from "./method-note.ts";

// Beyond this the tail can't be summed to a spare.
const mostDemand = 1e9;

/**
 * The least stock on the shelf that a Poisson demand of the given mean doesn't exceed with probability `level`, and that
 * probability. Throws a UsageError for a mean below 0 or above a thousand million, a level outside 0–1.
 * Blanchard, Logistics Engineering and Management (2004), spare part quantity determination.
 */
export function sparesNeeded({ meanDemand, level }: { meanDemand: number; level: number }): {
  stock: number;
  probability: number;
} {
  ensureNotNegative("meanDemand", meanDemand);
  ensure(meanDemand <= mostDemand, "meanDemand", meanDemand, `at most ${mostDemand}`);
  ensureShare("level", level);
  if (meanDemand === 0) return { stock: 0, probability: 1 };
  // The least stock that is enough lies above `low` and at or below `high`.
  let [low, high] = [-1, Math.ceil(meanDemand)];
  while (poissonCdf(high, meanDemand) < level) [low, high] = [high, 2 * high];
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (poissonCdf(middle, meanDemand) < level) low = middle;
    else high = middle;
  }
  return { stock: high, probability: poissonCdf(high, meanDemand) };
}

export const sparesNeededNote: MethodNote = {
  help: "spares to keep for a Poisson demand",
  title: "How many spares on the shelf?",
  plain: `The least stock that lasts until the next delivery in so many cases of a hundred, for a part that is needed at random. ${fitCaution}`,
  formula: "least n with Σ_{k≤n} e^(−m)·m^k/k! ≥ level",
  source: "Blanchard, Logistics Engineering and Management (2004)",
  example: { meanDemand: 4.32, level: 0.95 },
};
