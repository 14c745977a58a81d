// What replacing at an age costs where a part can end in two ways: failed, or worn and taken out in time.
import { evenWeibulls, type LifeGrid, rangeOfValues } from "./posterior-life.ts";
import { type Weibull, weibullMean } from "./weibull.ts";

/** How many possible truths stand behind every average. */
const draws = 256;

/** One possible truth: how the part fails, and how it wears where that was seen. */
export interface Way {
  failing: Weibull;
  wearing: Weibull | null;
}

/** Possible truths that share out both posteriors evenly, without chance. */
export function evenWays(failing: LifeGrid, wearing: LifeGrid | null): Way[] {
  const first = evenWeibulls(failing, draws);
  const second = wearing && evenWeibulls(wearing, draws);
  // 97 is prime to 256: each of the one meets one of the other from all over its range.
  return first.map((life, k) => ({ failing: life, wearing: second?.[(k * 97) % draws] ?? null }));
}

// Three-point Gauss–Legendre: places and weights on (0, 1).
const gauss = [
  [0.5 - Math.sqrt(0.15), 5 / 18],
  [0.5, 4 / 9],
  [0.5 + Math.sqrt(0.15), 5 / 18],
] as const;

/** Ages to weigh, ascending, and between them the points at which to look: ln t, t, and the weight of each per ln t. */
interface Ladder {
  ages: number[];
  logs: Float64Array;
  times: Float64Array;
  weights: Float64Array;
  /** How many points lie before each age. */
  upTo: number[];
  start: number;
}

/** Even steps of ln age from `from` to `until`, with a longer way in from next to nothing. */
function ladder(from: number, until: number, count: number): Ladder {
  const ages = Array.from({ length: count }, (_, k) => from * (until / from) ** (k / (count - 1)));
  const start = from * 1e-4;
  const logs: number[] = [];
  const weights: number[] = [];
  const upTo: number[] = [];
  let before = Math.log(start);
  for (const [k, age] of ages.entries()) {
    const steps = k === 0 ? 8 : 1;
    const width = (Math.log(age) - before) / steps;
    for (let step = 0; step < steps; step++) {
      for (const [place, weight] of gauss) {
        const log = before + width * (step + place);
        logs.push(log);
        weights.push(weight * width);
      }
    }
    upTo.push(logs.length);
    before = Math.log(age);
  }
  const times = Float64Array.from(logs, Math.exp);
  return { ages, logs: Float64Array.from(logs), times, weights: Float64Array.from(weights), upTo, start };
}

/** Expected hours and the share failed up to each age of the ladder. */
function courseOf(
  { failing, wearing }: Way,
  { ages, logs, times, weights, upTo, start }: Ladder,
): { hours: Float64Array; failed: Float64Array } {
  const course = { hours: new Float64Array(ages.length), failed: new Float64Array(ages.length) };
  const [failingLog, wearingLog] = [Math.log(failing.scale), wearing && Math.log(wearing.scale)];
  let hours = start;
  let failed = 0;
  let i = 0;
  for (let k = 0; k < ages.length; k++) {
    for (; i < upTo[k]!; i++) {
      const hazard = Math.exp(failing.shape * (logs[i]! - failingLog));
      const other = wearing ? Math.exp(wearing.shape * (logs[i]! - wearingLog!)) : 0;
      const alive = weights[i]! * Math.exp(-hazard - other);
      hours += alive * times[i]!;
      failed += alive * failing.shape * hazard;
    }
    course.hours[k] = hours;
    // Without another way to end the share failed is known outright.
    course.failed[k] = wearing ? failed : -Math.expm1(-((ages[k]! / failing.scale) ** failing.shape));
  }
  return course;
}

/** Cost per hour of never replacing early. */
function untilEnd(way: Way, costPlanned: number, costFailure: number): number {
  const { failing, wearing } = way;
  if (wearing === null) return costFailure / weibullMean(failing);
  // All have ended where the cumulative hazard of one way alone is 30.
  const end = Math.min(...[failing, wearing].map(({ scale, shape }) => scale * 30 ** (1 / shape)));
  const { hours, failed } = courseOf(way, ladder(end * 1e-3, end, 24));
  return rate(hours.at(-1)!, failed.at(-1)!, costPlanned, costFailure);
}

/** Expected cost per unit of age of replacing at one age, averaged over the possible truths. */
export function costAt(ways: readonly Way[], age: number, costPlanned: number, costFailure: number): number {
  const ages = ladder(age / 50, age, 16);
  return average(ways, (way) => {
    const { hours, failed } = courseOf(way, ages);
    return rate(hours.at(-1)!, failed.at(-1)!, costPlanned, costFailure);
  });
}

const rate = (hours: number, failed: number, costPlanned: number, costFailure: number): number =>
  (costFailure * failed + costPlanned * (1 - failed)) / hours;

const average = (ways: readonly Way[], figure: (way: Way) => number): number =>
  ways.reduce((sum, way) => sum + figure(way), 0) / ways.length;

export interface CheapestAge {
  /** Infinite where waiting longer never costs more. */
  age: number;
  costPerHour: number;
  costPerHourRunToFailure: number;
  /** Best age of the single truths: 10 and 90 % points, null for never; `best` is `age`. */
  range: { low: number | null; best: number; high: number | null };
  curve: { age: number; costPerHour: number }[];
}

/**
 * The replacement age of least expected cost: [costFailure·P(failed before T) + costPlanned·the rest] ÷ expected hours until
 * the first of failed, worn, T, averaged over the possible truths. Barlow & Proschan 1965, ch. 4, with a second way to end.
 */
export function cheapestAge(ways: readonly Way[], costPlanned: number, costFailure: number): CheapestAge {
  const scales = ways.map(({ failing }) => failing.scale).sort((a, b) => a - b);
  const steps = ladder(scales[Math.floor(0.02 * draws)]! / 40, scales[Math.floor(0.98 * draws)]! * 4, 72);
  const mean = steps.ages.map(() => 0);
  const bestAges: number[] = [];
  let runToFailure = 0;
  for (const way of ways) {
    const { hours, failed } = courseOf(way, steps);
    const rates = steps.ages.map((_, k) => rate(hours[k]!, failed[k]!, costPlanned, costFailure));
    for (const [k, one] of rates.entries()) mean[k]! += one / draws;
    const never = untilEnd(way, costPlanned, costFailure);
    runToFailure += never / draws;
    const best = lowestOf(steps.ages, rates);
    bestAges.push(best.rate < never * (1 - 1e-3) ? best.age : Number.POSITIVE_INFINITY);
  }
  const best = lowestOf(steps.ages, mean);
  const range = rangeOfValues(
    bestAges,
    bestAges.map(() => 1 / draws),
    0.8,
  );
  const orNull = (age: number) => (Number.isFinite(age) ? age : null);
  return {
    age: best.age,
    costPerHour: best.rate,
    costPerHourRunToFailure: runToFailure,
    range: { low: orNull(Math.min(range.low, best.age)), best: best.age, high: orNull(Math.max(range.high, best.age)) },
    curve: steps.ages.map((age, k) => ({ age, costPerHour: mean[k]! })),
  };
}

/** The lowest point of a curve over even steps of ln age, by a parabola through it and its neighbours; infinite at the last. */
function lowestOf(ages: readonly number[], rates: readonly number[]): { age: number; rate: number } {
  let k = 0;
  for (const [i, one] of rates.entries()) if (one < rates[k]!) k = i;
  if (k === rates.length - 1) return { age: Number.POSITIVE_INFINITY, rate: rates[k]! };
  if (k === 0) return { age: ages[0]!, rate: rates[0]! };
  const [before, here, after] = [rates[k - 1]!, rates[k]!, rates[k + 1]!];
  const bend = before - 2 * here + after;
  const shift = bend > 0 ? (before - after) / (2 * bend) : 0;
  return { age: ages[k]! * (ages[1]! / ages[0]!) ** shift, rate: here - ((before - after) * shift) / 4 };
}
