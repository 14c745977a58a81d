// What to do about a part: replace at an age, inspect, run to failure, or wait for more data.
import type { Range } from "../../shared/errors.ts";
import { ensure, ensurePositive } from "./checks.ts";
import { type InspectedLives, livesFrom } from "./lives.ts";
import {
  evenWeibulls,
  gridOf,
  type LifeGrid,
  type LifePosterior,
  posteriorLife,
  predictiveQuantile,
  rangeOfValues,
} from "./posterior-life.ts";
import type { LifePrior } from "./priors.ts";
import { type Weibull, weibullMean } from "./weibull.ts";

/** How a life ended: as found at the service, or still in use. */
export type LifeEnd = "failed" | "worn" | "good" | "damaged" | "unknown" | "in-use";

export interface PartLife {
  /** Age at the end, or now where still in use, in the unit of the prior. */
  age: number;
  end: LifeEnd;
  /** Age at the last inspection that found it good: it ended between the two. */
  lastGood?: number | undefined;
  /** Age when the log began (left truncation). */
  entry?: number | undefined;
}

export type Advice = "replace" | "inspect" | "run-to-failure" | "not-enough";

export interface LifeAdvice {
  /** Lives ended by wear, failed and worn. */
  failures: number;
  worn: number;
  intervalCensored: number;
  /** Good, damaged, unknown and in use. */
  rightCensored: number;
  inUse: number;
  /** Of the life until failed or worn, whichever came first. */
  life: LifePosterior;
  interval: {
    /** Best age to replace, and the 10 and 90 % points of the best age over the posterior (`high` null: never); null where no age pays. */
    hours: { low: number | null; best: number; high: number | null } | null;
    setHours: number | null;
    costPerHour: number | null;
    costPerHourSet: number | null;
    costPerHourRunToFailure: number | null;
    advice: Advice;
    /** Age by which one part in ten has ended, uncertainty included: a first inspection comes before it. */
    inspectHours: number;
    /** The advice in one sentence. */
    reason: string;
  };
  /** Ages and expected cost per hour of replacing at each; empty without costs. */
  costCurve: { age: number; costPerHour: number }[];
  /** How far the answers move if parts taken out good had been at their limit; null where none was taken out good. */
  withoutAssumption: { b10Hours: number; hours: number | null } | null;
}

const fewestFailures = 3;
// A saving below this share of the cost of running to failure is no reason to take out good parts.
const leastSaving = 0.02;
const draws = 256;

/**
 * The posterior of a part's life and what to do about it.
 *
 * Failing and wearing out are two ways to end with two costs, taken as independent (competing risks): each has a posterior of
 * its own in which the other counts as still good, and replacing at T costs [costFailure·P(failed before T) + costPlanned·the
 * rest] ÷ expected hours until the first of failed, worn, T, averaged over both posteriors. Where nothing was ever found worn,
 * failing is the only way. Assumed: that a part taken out good was no nearer its end than others of its age; `withoutAssumption`
 * shows the answer if each had been at its limit instead.
 *
 * Advice: `not-enough` below three failures, or without costs; `run-to-failure` where a failure costs no more than a planned
 * change, or the best age saves under 2 %; `inspect` where the shape's 80 % interval reaches 1 or below; else `replace`.
 *
 * Throws a UsageError (`lives[2].age` …) for ages not above 0, `lastGood` or `entry` beyond the end, costs not above 0.
 * Barlow & Proschan 1965, ch. 4; competing risks: Meeker & Escobar 1998, 15.4; Crowder 2001, Classical Competing Risks.
 */
export function adviseLife(
  lives: readonly PartLife[],
  prior: LifePrior,
  {
    costPlanned = null,
    costFailure = null,
    setHours = null,
    level = 0.8,
  }: { costPlanned?: number | null; costFailure?: number | null; setHours?: number | null; level?: number } = {},
): LifeAdvice {
  checkLives(lives);
  if (costPlanned !== null) ensurePositive("costPlanned", costPlanned);
  if (costFailure !== null) ensurePositive("costFailure", costFailure);
  if (setHours !== null) ensurePositive("setHours", setHours);
  const count = (...ends: LifeEnd[]) => lives.filter(({ end }) => ends.includes(end)).length;
  const failures = count("failed", "worn");
  const judged = judge(lives, prior, { costPlanned, costFailure, setHours, level });
  const asWorn = lives.map((life): PartLife => (life.end === "good" ? { ...life, end: "worn" } : life));
  const pessimist = count("good") > 0 ? judge(asWorn, prior, { costPlanned, costFailure, setHours, level }) : null;
  return {
    failures,
    worn: count("worn"),
    intervalCensored: lives.filter(({ end, lastGood }) => (end === "failed" || end === "worn") && lastGood !== undefined).length,
    rightCensored: lives.length - failures,
    inUse: count("in-use"),
    ...judged,
    withoutAssumption: pessimist && { b10Hours: pessimist.life.b10.best, hours: pessimist.interval.hours?.best ?? null },
  };
}

function checkLives(lives: readonly PartLife[]): void {
  for (const [i, { age, end, lastGood, entry }] of lives.entries()) {
    const ended = end === "failed" || end === "worn";
    ensure(Number.isFinite(age) && (age > 0 || (age === 0 && !ended)), `lives[${i}].age`, age, "a positive number");
    ensure(
      lastGood === undefined || (lastGood >= 0 && lastGood <= age),
      `lives[${i}].lastGood`,
      lastGood,
      `an age of at most ${age}`,
    );
    const known = ended ? (lastGood ?? age) : age;
    ensure(!entry || (entry > 0 && entry <= known && entry < age), `lives[${i}].entry`, entry, `an age below ${known}`);
  }
}

/**
 * Lives in which the given ends count and all others are still good. A part found worn had not failed by then; one that failed
 * since its last inspection was seen unworn only up to that.
 */
export function livesEndedBy(lives: readonly PartLife[], ends: readonly LifeEnd[]): InspectedLives {
  const counts = (life: PartLife) => ends.includes(life.end);
  return {
    lower: lives.map((life) => (counts(life) || life.end === "failed" ? (life.lastGood ?? life.age) : life.age)),
    upper: lives.map((life) => (counts(life) ? life.age : null)),
    entry: lives.map(({ entry }) => entry ?? 0),
  };
}

const isEnd = (end: LifeEnd): boolean => end === "failed" || end === "worn";

interface Costs {
  costPlanned: number | null;
  costFailure: number | null;
  setHours: number | null;
  level: number;
}

function judge(lives: readonly PartLife[], prior: LifePrior, { costPlanned, costFailure, setHours, level }: Costs) {
  const life = posteriorLife(livesEndedBy(lives, ["failed", "worn"]), prior, { level });
  const failures = lives.filter(({ end }) => isEnd(end)).length;
  const inspectHours = predictiveQuantile(life, 0.1);
  if (costPlanned === null || costFailure === null) {
    const reason = "both costs are needed to weigh replacing against failing";
    return {
      life,
      interval: {
        hours: null,
        setHours,
        costPerHour: null,
        costPerHourSet: null,
        costPerHourRunToFailure: null,
        advice: "not-enough" as const,
        inspectHours,
        reason,
      },
      costCurve: [],
    };
  }
  const hasWorn = lives.some(({ end }) => end === "worn");
  const gridOfEnds = (end: LifeEnd) => gridOf(livesFrom(livesEndedBy(lives, [end])), prior);
  const ways = hasWorn ? evenWays(gridOfEnds("failed"), gridOfEnds("worn")) : evenWays(life.grid, null);
  const plan = cheapestAge(ways, costPlanned, costFailure);
  const saving = 1 - plan.costPerHour / plan.costPerHourRunToFailure;
  const pays = saving > 1e-3 && Number.isFinite(plan.age);
  const [advice, reason] = adviceFrom({ failures, shape: life.shape, costPlanned, costFailure, saving: pays ? saving : 0 });
  return {
    life,
    interval: {
      hours: pays ? plan.range : null,
      setHours,
      costPerHour: pays ? plan.costPerHour : plan.costPerHourRunToFailure,
      costPerHourSet: setHours === null ? null : costAt(ways, setHours, costPlanned, costFailure),
      costPerHourRunToFailure: plan.costPerHourRunToFailure,
      advice,
      inspectHours,
      reason,
    },
    costCurve: plan.curve,
  };
}

function adviceFrom({
  failures,
  shape,
  costPlanned,
  costFailure,
  saving,
}: {
  failures: number;
  shape: Range;
  costPlanned: number;
  costFailure: number;
  saving: number;
}): [Advice, string] {
  if (failures < fewestFailures) {
    return [
      "not-enough",
      `${failures} of ${fewestFailures} lives ended by wear: the figures are mostly what is usual for such parts`,
    ];
  }
  if (costFailure <= costPlanned) return ["run-to-failure", "a failure costs no more than a planned change"];
  if (shape.low <= 1) {
    return ["inspect", "the lives don't show that the part wears out, so that changing it early may not pay: inspect instead"];
  }
  if (saving < leastSaving) return ["run-to-failure", "no age of replacement saves enough to be worth it"];
  return ["replace", `replacing at that age saves about ${Math.round(100 * saving)} % of the cost of running to failure`];
}

/** One possible truth: how the part fails, and how it wears where that was seen. */
interface Way {
  failing: Weibull;
  wearing: Weibull | null;
}

function evenWays(failing: LifeGrid, wearing: LifeGrid | null): Way[] {
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

function costAt(ways: readonly Way[], age: number, costPlanned: number, costFailure: number): number {
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

function cheapestAge(ways: readonly Way[], costPlanned: number, costFailure: number) {
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
