// What was wished for in the whole span: counted where a unit was free, drawn where none was; and how many left without a turn.
import type { Range } from "../../shared/errors.ts";
import { type ArrivalFit, type Cells, drawnRates, expectedIn, fitArrivals, hoursOfWeek, type Rates, summed } from "./arrivals.ts";
import { gamma, type Random } from "./chance.ts";

export interface Week {
  turns: number;
  expected: number;
}

/**
 * How much more the weeks scatter around what is to be expected of them than chance has it (Pearson's χ² per degree of freedom, 1 at
 * the least): turns come in clusters.
 */
export function dispersionOf(weeks: readonly Week[], months: number): number {
  let [chi, count] = [0, 0];
  for (const { turns, expected } of weeks) {
    if (expected < 0.5) continue;
    chi += (turns - expected) ** 2 / expected;
    count++;
  }
  const degrees = count - Math.min(months, count / 2);
  return degrees >= 4 ? Math.max(1, chi / degrees) : 1;
}

/** One way in which it may have been: rates, and what they come to. */
export interface WishDraw {
  rates: Rates;
  /** Turns wished for in the span. */
  wished: number;
  /** Turns wished for while all units were taken, and of these the ones that were served after a wait. */
  whileFull: number;
  handed: number;
}

export interface Wishes {
  fit: ArrivalFit;
  dispersion: number;
  openHours: number;
  /** Turns counted in free time, and all that are known to have been wished for. */
  counted: number;
  known: number;
  /** Expected turns by cell over all its open time: counted where it was free, learned where it was not. */
  byCell: Float64Array;
  wished: number;
  whileFull: number;
  /** Starts in hand-over windows beyond what chance brings. */
  handed: number;
  /** Of the turns that begin shortly after the last one on their unit, the part that are by the same person. */
  returning: number;
  draws: WishDraw[];
}

/** `returning` as counted on the unit: near of them, returns by the same person; one in four is believed beforehand. */
export const returningShare = (near: number, returns: number): number => (returns + 1) / (near + 4);

const total = (values: Float64Array): number => values.reduce((sum, one) => sum + one, 0);

/**
 * Turns wished for, from one group's cells, with `draws` ways in which it may have been. Rates are drawn by redrawing the counts,
 * what came in hidden time as a Poisson process at those rates (both with the weeks' own dispersion); the counted turns are certain.
 * Nobody who comes back within a pause begins a new turn, so that chance brings into a hand-over window only the others.
 */
export function wishesFrom(
  cells: Cells,
  weeks: readonly Week[],
  returning: number,
  { draws, random }: { draws: number; random: Random },
): Wishes {
  const fit = fitArrivals(cells);
  const dispersion = dispersionOf(weeks, cells.months);
  const hiddenHours = cells.fullHours.map((_, i) => cells.windowHours[i]! + cells.lastHours[i]! + cells.outHours[i]!);
  const openHours = total(cells.freeHours) + total(cells.fullHours) + total(hiddenHours);
  const counted = total(cells.freeTurns);
  const handedTurns = total(cells.handedTurns);
  const known = counted + handedTurns + total(cells.otherTurns);
  const full = expectedIn(cells, fit, cells.fullHours);
  const hidden = expectedIn(cells, fit, hiddenHours);
  const byChance = (rates: Rates) => total(expectedIn(cells, rates, cells.windowHours)) * (1 - returning);
  const luck = (mean: number): number => dispersion * gamma(mean / dispersion, random);
  const drawn = Array.from({ length: draws }, (): WishDraw => {
    const rates = drawnRates(cells, fit, dispersion, random);
    const whileFull = luck(total(expectedIn(cells, rates, cells.fullHours)));
    const rest = luck(total(expectedIn(cells, rates, hiddenHours)));
    return {
      rates,
      wished: Math.max(known, counted + whileFull + rest),
      whileFull,
      handed: Math.max(0, handedTurns - luck(byChance(rates))),
    };
  });
  return {
    fit,
    dispersion,
    openHours,
    counted,
    known,
    byCell: full.map((expected, i) => expected + hidden[i]! + cells.freeTurns[i]!),
    wished: Math.max(known, counted + total(full) + total(hidden)),
    whileFull: total(full),
    handed: handedTurns - byChance(fit),
    returning,
    draws: drawn,
  };
}

/**
 * Turns wished for per open hour by hour of the week: the smoothed rate over the span, scaled so that all hours together are what was
 * wished for; with the 10 and 90 % points of what the rate may be.
 */
export function ratesByHour(
  cells: Cells,
  wishes: Wishes,
  random: Random,
): { hour: number; openHours: number; arrivals: Range }[] {
  const { fit, dispersion } = wishes;
  const open = cells.freeHours.map(
    (free, i) => free + cells.fullHours[i]! + cells.windowHours[i]! + cells.lastHours[i]! + cells.outHours[i]!,
  );
  const openByHour = summed(cells.hour, hoursOfWeek, open);
  const expected = summed(cells.hour, hoursOfWeek, expectedIn(cells, fit, open));
  const all = expected.reduce((sum, one) => sum + one, 0);
  const scale = all > 0 ? wishes.wished / all : 0;
  const counts = summed(cells.hour, hoursOfWeek, cells.freeTurns);
  const draws = wishes.draws.map(({ rates }) => {
    const drawn = summed(cells.hour, hoursOfWeek, expectedIn(cells, rates, open));
    // What the hour itself can't tell beyond what its neighbours do.
    return drawn.map((one, hour) => {
      const shape = (fit.hourWeight + counts[hour]!) / dispersion;
      const own = fit.hourWeight / (fit.hourWeight + counts[hour]!);
      const wobble = gamma(shape, random) / shape;
      return one * (1 + (wobble - 1) * Math.sqrt(own));
    });
  });
  return Array.from(openByHour, (openHours, hour) => ({ openHours, hour }))
    .filter(({ openHours }) => openHours > 0)
    .map(({ openHours, hour }) => {
      const best = (expected[hour]! * scale) / openHours;
      const { low, high } = spread(draws.map((draw) => (draw[hour]! * scale) / openHours));
      return { hour, openHours, arrivals: { low: Math.min(low, best), best, high: Math.max(high, best) } };
    });
}

/** The 10 and 90 % points of a list of at least one. */
export function spread(values: readonly number[]): { low: number; high: number } {
  const sorted = [...values].sort((a, b) => a - b);
  const at = (share: number): number => {
    const place = share * (sorted.length - 1);
    const below = Math.floor(place);
    const above = Math.min(below + 1, sorted.length - 1);
    return sorted[below]! + (sorted[above]! - sorted[below]!) * (place - below);
  };
  return { low: at(0.1), high: at(0.9) };
}

/** Best and the 10 and 90 % points, best within them. */
export function rangeOf(best: number, values: readonly number[]): Range {
  const { low, high } = spread(values);
  return { low: Math.min(low, best), best, high: Math.max(high, best) };
}
