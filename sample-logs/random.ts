// Chance with a seed: one named stream per idea, so that a change in one part of the workshop leaves the others as they were.
import { uniformFloat64 } from "pure-rand/distribution/uniformFloat64";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";

export interface Chance {
  /** Uniform in [0, 1). */
  uniform(): number;
  /** Uniform between two numbers. */
  between(low: number, high: number): number;
  /** A whole number from low to high, both possible. */
  whole(low: number, high: number): number;
  /** True with this probability. */
  happens(probability: number): boolean;
  normal(): number;
  logNormal(median: number, sigma: number): number;
  exponential(mean: number): number;
  weibull(shape: number, scale: number): number;
  poisson(mean: number): number;
  pick<T>(list: readonly T[]): T;
  /** As many different items as asked for, or all of them, in drawn order. */
  some<T>(list: readonly T[], count: number): T[];
}

/** A stream of chance that depends on the seed and the stream's name only. */
export function chanceFrom(seed: number, name: string): Chance {
  const generator = xoroshiro128plus(mix(seed, name));
  const uniform = () => uniformFloat64(generator);
  const positive = () => 1 - uniform();
  const whole = (low: number, high: number) => low + Math.floor(uniform() * (high - low + 1));
  let spare: number | null = null;

  // Marsaglia's polar method (Marsaglia & Bray, SIAM Review 6, 1964): no trigonometry.
  const normal = () => {
    if (spare !== null) {
      const kept = spare;
      spare = null;
      return kept;
    }
    for (;;) {
      const a = 2 * uniform() - 1;
      const b = 2 * uniform() - 1;
      const square = a * a + b * b;
      if (square === 0 || square >= 1) continue;
      const factor = Math.sqrt((-2 * Math.log(square)) / square);
      spare = b * factor;
      return a * factor;
    }
  };

  const poisson = (mean: number) => {
    let count = 0;
    let rest = mean;
    for (;;) {
      rest += Math.log(positive());
      if (rest < 0) return count;
      count += 1;
    }
  };

  const pick = <T>(list: readonly T[]): T => {
    if (list.length === 0) throw new RangeError("nothing to pick from: expected a list with at least one item");
    return list[Math.floor(uniform() * list.length)]!;
  };

  return {
    uniform,
    between: (low, high) => low + uniform() * (high - low),
    whole,
    happens: (probability) => uniform() < probability,
    normal,
    logNormal: (median, sigma) => median * Math.exp(sigma * normal()),
    exponential: (mean) => -mean * Math.log(positive()),
    weibull: (shape, scale) => scale * (-Math.log(positive())) ** (1 / shape),
    poisson,
    pick,
    some: (list, count) => {
      const rest = [...list];
      const taken = [];
      while (taken.length < count && rest.length > 0) taken.push(rest.splice(Math.floor(uniform() * rest.length), 1)[0]!);
      return taken;
    },
  };
}

// FNV-1a over the name, the seed stirred in (Fowler, Noll, Vo; the 32-bit constants of draft-eastlake-fnv).
function mix(seed: number, name: string): number {
  let hash = 0x811c9dc5 ^ Math.imul(seed | 0, 0x9e3779b1);
  for (let i = 0; i < name.length; i += 1) hash = Math.imul(hash ^ name.charCodeAt(i), 0x01000193);
  return hash | 0;
}
