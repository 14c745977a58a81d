// Figures with a range, as sums need them: independent spreads add as squares.
import type { Range } from "../../shared/errors.ts";
import type { MaybeRange } from "../hours/asked.ts";
import type { RunFactor } from "../hours/factors.ts";

/** A mean with the distances to its 10 and 90 % points; an infinite distance is an end that nobody knows. */
export interface Figure {
  best: number;
  below: number;
  above: number;
}

export const NORMAL_90 = 1.2815515655446004;
// E|Z| / 2 ÷ the normal's 90 % point: how far the mean of an uneven range lies from its best, two half normals of different width.
const HALF_NORMAL_MEAN = Math.sqrt(1 / (2 * Math.PI)) / NORMAL_90;

export const exactly = (best: number): Figure => ({ best, below: 0, above: 0 });

export const figureOf = ({ low, best, high }: Range): Figure => ({
  best,
  below: Math.max(0, best - low),
  above: Math.max(0, high - best),
});

/** No figure here can be below nothing. */
export function rangeOfFigure({ best, below, above }: Figure): MaybeRange {
  if (!Number.isFinite(above)) return { low: Math.max(0, best - below), best: null, high: null };
  return { low: Math.max(0, best - below), best, high: best + above };
}

export const plus = (a: Figure, b: Figure): Figure => ({
  best: a.best + b.best,
  below: Math.hypot(a.below, b.below),
  above: Math.hypot(a.above, b.above),
});

/** Of a span between two instants: what was used since its begin, less what was used since its end. */
export const less = (a: Figure, b: Figure): Figure => ({
  best: Math.max(0, a.best - b.best),
  below: Math.sqrt(Math.max(0, a.below ** 2 - b.below ** 2)),
  above: Math.sqrt(Math.max(0, a.above ** 2 - b.above ** 2)),
});

/** Something that happened between two instants: what was used since the earlier and since the later one. */
export function between(since: Figure, atLeast: Figure): Figure {
  const low = Math.max(0, atLeast.best - atLeast.below);
  const high = since.best + since.above;
  const best = (since.best + atLeast.best) / 2;
  return { best, below: Math.max(0, best - low), above: Math.max(0, high - best) };
}

/** The mean of a factor with an uneven range: 1 where there is none. */
export function meanOfFactor(factor: RunFactor | null | undefined): number {
  const { low, best, high } = factor?.factor ?? { low: 1, best: 1, high: 1 };
  return best + (high + low - 2 * best) * HALF_NORMAL_MEAN;
}

/**
 * Run-hours: what motor events measured, and the rest of the enabled hours times the run factor, with the factor's own range and
 * the luck of the hours themselves, just as the hours by machine have it.
 */
export function runFigure(motor: Figure, factored: Figure, factor: RunFactor | undefined): Figure {
  const { low, best, high } = factor?.factor ?? { low: 1, best: 1, high: 1 };
  const mean = meanOfFactor(factor);
  const scatter = (factor?.scatter ?? 0) * Math.max(0, factored.best);
  const run = motor.best + mean * factored.best;
  const below = Math.sqrt(motor.below ** 2 + (mean * factored.below) ** 2 + (factored.best * (best - low)) ** 2 + scatter);
  const above = Math.sqrt(motor.above ** 2 + (mean * factored.above) ** 2 + (factored.best * (high - best)) ** 2 + scatter);
  const lowest = Math.min(motor.best - motor.below, run);
  const highest = Math.max(run, motor.best + motor.above + Math.max(1, mean + (high - best)) * (factored.best + factored.above));
  return { best: run, below: run - Math.max(lowest, run - below), above: Math.min(run + above, highest) - run };
}
