// What to do about a part: replace at an age, inspect, run to failure, or wait for more data.
import type { Range } from "../../shared/errors.ts";
import { ensure, ensurePositive } from "./checks.ts";
import { type InspectedLives, livesFrom } from "./lives.ts";
import { gridOf, type LifePosterior, posteriorLife, predictiveQuantile } from "./posterior-life.ts";
import type { LifePrior } from "./priors.ts";
import { cheapestAge, costAt, evenWays } from "./two-ends.ts";

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
  /** What is assumed of parts taken out good, and the answers if each had been at its limit instead; null where none was. */
  withoutAssumption: { assumption: string; b10Hours: number; hours: number | null } | null;
}

const assumption = "a part taken out good was no nearer its end than others of its age";

const fewestFailures = 3;
// A saving below this share of the cost of running to failure is no reason to take out good parts.
const leastSaving = 0.02;

/**
 * The posterior of a part's life and what to do about it.
 *
 * Failing and wearing out are two ways to end with two costs, taken as independent (competing risks): each has a posterior of
 * its own in which the other counts as still good, and replacing at T costs [costFailure·P(failed before T) + costPlanned·the
 * rest] ÷ expected hours until the first of failed, worn, T, averaged over both posteriors. Where nothing was ever found worn,
 * failing is the only way. Assumed: that a part taken out good was no nearer its end than others of its age; `withoutAssumption`
 * shows the answer if each had been at its limit instead.
 *
 * Advice, the first that holds: `not-enough` below three lives ended by wear; `run-to-failure` where a failure costs no more than
 * a planned change; `inspect` where the shape's interval reaches 1 or below; `not-enough` without both costs; `run-to-failure`
 * where the best age saves under 2 %; else `replace`.
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
    withoutAssumption: pessimist && {
      assumption,
      b10Hours: pessimist.life.b10.best,
      hours: pessimist.interval.hours?.best ?? null,
    },
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

type Judgement = Pick<LifeAdvice, "life" | "interval" | "costCurve">;

function judge(lives: readonly PartLife[], prior: LifePrior, { costPlanned, costFailure, setHours, level }: Costs): Judgement {
  const life = posteriorLife(livesEndedBy(lives, ["failed", "worn"]), prior, { level });
  const failures = lives.filter(({ end }) => isEnd(end)).length;
  const inspectHours = predictiveQuantile(life, 0.1);
  if (costPlanned === null || costFailure === null) {
    const [advice, reason] = adviceFrom(failures, life.shape, null);
    const unknown = { hours: null, costPerHour: null, costPerHourSet: null, costPerHourRunToFailure: null };
    return { life, interval: { ...unknown, setHours, advice, inspectHours, reason }, costCurve: [] };
  }
  const hasWorn = lives.some(({ end }) => end === "worn");
  const gridOfEnds = (end: LifeEnd) => gridOf(livesFrom(livesEndedBy(lives, [end])), prior);
  const ways = hasWorn ? evenWays(gridOfEnds("failed"), gridOfEnds("worn")) : evenWays(life.grid, null);
  const plan = cheapestAge(ways, costPlanned, costFailure);
  const saving = 1 - plan.costPerHour / plan.costPerHourRunToFailure;
  const pays = costFailure > costPlanned && saving > 1e-3 && Number.isFinite(plan.age);
  const [advice, reason] = adviceFrom(failures, life.shape, {
    failureIsDearer: costFailure > costPlanned,
    saving: pays ? saving : 0,
  });
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

function adviceFrom(
  failures: number,
  shape: Range,
  weighed: { failureIsDearer: boolean; saving: number } | null,
): [Advice, string] {
  if (failures < fewestFailures) {
    const few = `${failures} of ${fewestFailures} lives ended by wear`;
    return ["not-enough", `${few}: the figures are mostly what is usual for such parts`];
  }
  if (weighed && !weighed.failureIsDearer) return ["run-to-failure", "a failure costs no more than a planned change"];
  if (shape.low <= 1) {
    return ["inspect", "the lives don't show that the part wears out, so that changing it early may not pay: inspect instead"];
  }
  if (!weighed) return ["not-enough", "both costs are needed to weigh replacing against failing"];
  if (weighed.saving < leastSaving) return ["run-to-failure", "no age of replacement saves enough to be worth it"];
  return ["replace", `replacing at that age saves about ${Math.round(100 * weighed.saving)} % of the cost of running to failure`];
}
