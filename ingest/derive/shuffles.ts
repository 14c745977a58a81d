// Orders of the joint worlds: three sets of shuffles, composed by a key's hash, so that the draws of two sessions are unrelated.
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";
import { DRAWS } from "../../shared/draws.ts";

/** How many shuffles stand in each of the three sets: 256³ composed orders, so that two sessions hardly ever share one. */
export const SHUFFLES = 256;

/** Three times SHUFFLES orders of 1…DRAWS, ever the same: a generator of our own, lest a library's next version change them. */
export function shuffles(): number[][] {
  let state = 0x9e3779b9;
  // Marsaglia's xorshift, 32 bits (Journal of Statistical Software 8 (14), 2003, shifts 13, 17, 5; from memory).
  const below = (limit: number): number => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return Math.floor(((state >>> 0) / 2 ** 32) * limit);
  };
  return Array.from({ length: 3 * SHUFFLES }, () => {
    const places = Array.from({ length: DRAWS }, (_, index) => index + 1);
    for (let last = DRAWS - 1; last > 0; last -= 1) {
      const other = below(last + 1);
      [places[last], places[other]] = [places[other]!, places[last]!];
    }
    return places;
  });
}

/** The middles of DRAWS equal strata on the normal scale. */
export const normalScores = (): number[] =>
  Array.from({ length: DRAWS }, (_, index) => normalQuantile((index + 0.5) / DRAWS, 0, 1));
