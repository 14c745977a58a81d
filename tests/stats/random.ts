// Chance for tests: one generator, always seeded.
import { uniformFloat64 } from "pure-rand/distribution/uniformFloat64";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import type { Random } from "../../analytics/stats/index.ts";

export function seeded(seed: number): Random {
  const generator = xoroshiro128plus(seed);
  return () => uniformFloat64(generator);
}

/** One life of a Weibull, from new. */
export const drawLife = (shape: number, scale: number, random: Random): number => scale * (-Math.log1p(-random())) ** (1 / shape);
