// What the maintainers typed as run-hours per enabled hour: near the truth, as far off as a bare number is taken to be.
import { chanceFrom } from "./random.ts";

/** A bare number means give or take a fifth; whoever timed it for an evening says how sure they are. */
export type TypedFactor = number | { low: number; best: number; high: number };

/** How far off the ends of a guess are: a bare one, and one that was timed. */
const GUESSED = 0.2;
const TIMED = 0.1;

/**
 * A guess for each machine from its true ratio. The truth over the guess follows the triangle between the ends of the guess, as the
 * tool takes it; the machines' guesses share that triangle out evenly among them, so that one world isn't luckier than the next.
 */
export function typedFactors(seed: number, ratios: ReadonlyMap<string, number>): Map<string, TypedFactor> {
  const chance = chanceFrom(seed, "guess");
  const machines = chance.some([...ratios.keys()], ratios.size);
  return new Map(
    machines.map((machine, place) => {
      const isTimed = chance.happens(0.3);
      const reach = isTimed ? TIMED : GUESSED;
      const best = round(ratios.get(machine)! / (1 + reach * triangle((place + chance.uniform()) / machines.length)));
      return [machine, isTimed ? { low: round(best * (1 - reach)), best, high: round(best * (1 + reach)) } : best];
    }),
  );
}

/** The quantile of the even triangle between -1 and 1. */
const triangle = (share: number): number => (share < 0.5 ? Math.sqrt(2 * share) - 1 : 1 - Math.sqrt(2 * (1 - share)));

const round = (factor: number): number => Math.round(factor * 100) / 100;
