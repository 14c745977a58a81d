// How many turns were wished for, served or not: counted while a unit was free, learned for the time in which none was.
import { borrowedRates, hourNeighbours, monthNeighbours, neighbourRates, priorWeight } from "./borrowed.ts";
import { gamma, type Random } from "./chance.ts";

export const hoursOfWeek = 168;

/** One group's open time by month and hour of the week; one entry in every list for each month and hour that was open. */
export interface Cells {
  /** How many months there are; `month` counts from 0. */
  months: number;
  month: Int32Array;
  hour: Int32Array;
  /** A unit was free and in order, and nobody can have waited for it: what rates are learned from. */
  freeHours: Float64Array;
  /** All units in order taken. */
  fullHours: Float64Array;
  /** Free, but shortly after all were taken. */
  windowHours: Float64Array;
  /** Shortly before locking up. */
  lastHours: Float64Array;
  /** No unit in order. */
  outHours: Float64Array;
  /** Turns that began in free time; those taken over from others or in a hand-over window; the rest. */
  freeTurns: Float64Array;
  handedTurns: Float64Array;
  otherTurns: Float64Array;
}

/** Turns wished for per open hour: `hour` × `month`, the latter around 1. */
export interface Rates {
  hour: Float64Array;
  month: Float64Array;
}

export interface ArrivalFit extends Rates {
  /** Weights of the neighbours, in turns. */
  hourWeight: number;
  monthWeight: number;
}

/**
 * The rate of every hour of the week and the course over the months, from free hours alone. Turns that begin while a unit is free
 * are a Poisson process whatever went before, so that turns ÷ free hours is unbiased however long people wait elsewhere. Hours
 * borrow from the two beside them and from the same hour of the days beside; months from the two beside. `counts` stands in
 * for the turns counted, to see how far they could have come out otherwise.
 */
export function fitArrivals(cells: Cells): ArrivalFit {
  const months = monthNeighbours(cells.months);
  let month: Float64Array = new Float64Array(cells.months).fill(1);
  let hour: Float64Array = new Float64Array(hoursOfWeek);
  let [hourWeight, monthWeight] = [1, 1];
  const countsByHour = summed(cells.hour, hoursOfWeek, cells.freeTurns);
  const countsByMonth = summed(cells.month, cells.months, cells.freeTurns);
  for (let round = 0; round < 6; round++) {
    const hourExposure = summed(cells.hour, hoursOfWeek, cells.freeHours, month, cells.month);
    hourWeight = priorWeight(countsByHour, hourExposure, neighbourRates(countsByHour, hourExposure, hourNeighbours));
    hour = borrowedRates(countsByHour, hourExposure, hourNeighbours, hourWeight);
    const monthExposure = summed(cells.month, cells.months, cells.freeHours, hour, cells.hour);
    monthWeight = priorWeight(countsByMonth, monthExposure, neighbourRates(countsByMonth, monthExposure, months));
    month = evened(borrowedRates(countsByMonth, monthExposure, months, monthWeight), monthExposure);
  }
  return { hour, month, hourWeight, monthWeight };
}

/** Other rates that could have come out: counts drawn anew with the given dispersion, borrowed anew. */
export function drawnRates(cells: Cells, fit: ArrivalFit, dispersion: number, random: Random): Rates {
  const again = (counts: Float64Array) => counts.map((count) => dispersion * gamma(count / dispersion, random));
  const hourExposure = summed(cells.hour, hoursOfWeek, cells.freeHours, fit.month, cells.month);
  const hour = borrowedRates(
    again(summed(cells.hour, hoursOfWeek, cells.freeTurns)),
    hourExposure,
    hourNeighbours,
    fit.hourWeight,
  );
  const monthExposure = summed(cells.month, cells.months, cells.freeHours, fit.hour, cells.hour);
  const month = borrowedRates(
    again(summed(cells.month, cells.months, cells.freeTurns)),
    monthExposure,
    monthNeighbours(cells.months),
    fit.monthWeight,
  );
  return { hour, month: evened(month, monthExposure) };
}

/** Turns to expect at these rates within the hours of the list, one value for each cell. */
export const expectedIn = (cells: Cells, { hour, month }: Rates, hours: Float64Array): Float64Array =>
  hours.map((time, i) => time * hour[cells.hour[i]!]! * month[cells.month[i]!]!);

/** Sums of the values by index, each times the factor that `by` names. */
export function summed(
  index: Int32Array,
  length: number,
  values: Float64Array,
  factors?: Float64Array,
  by?: Int32Array,
): Float64Array {
  const sums = new Float64Array(length);
  for (let i = 0; i < values.length; i++) sums[index[i]!]! += values[i]! * (factors && by ? factors[by[i]!]! : 1);
  return sums;
}

/** Factors with mean 1 over the exposure; all 1 where nothing was counted. */
function evened(factors: Float64Array, exposure: Float64Array): Float64Array {
  let [sum, time] = [0, 0];
  for (let i = 0; i < factors.length; i++) {
    sum += factors[i]! * exposure[i]!;
    time += exposure[i]!;
  }
  const mean = time > 0 ? sum / time : 0;
  return factors.map((factor) => (mean > 0 ? factor / mean : 1));
}
