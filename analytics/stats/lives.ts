// Lives: how long parts lasted, as far as that is known.
import { demand, demandNotNegative, demandSameLength, demandWhole } from "./checks.ts";

/** Ages at the end: `status` 1 failed, 0 right-censored; `count` equal lives; `entry` the age when first seen (left truncation). */
export interface TimedLives {
  time: readonly number[];
  status: readonly number[];
  count?: readonly number[] | undefined;
  entry?: readonly number[] | undefined;
}

/** Between inspections: `lower` 0 or null left-censored, `upper` null right-censored, equal exact. */
export interface InspectedLives {
  lower: readonly (number | null)[];
  upper: readonly (number | null)[];
  count?: readonly number[] | undefined;
  entry?: readonly number[] | undefined;
}

export type Lives = TimedLives | InspectedLives;

/** One line of lives: it ended in (`lower`, `upper`]; equal is exact, `upper` infinite is right-censored, `lower` 0 left-censored. */
export interface Life {
  lower: number;
  upper: number;
  /** Equal lives, 1 or more. */
  count: number;
  /** Age from which it was watched, 0 where from new. */
  entry: number;
}

export const isExact = (life: Life): boolean => life.lower === life.upper;
export const isFailure = (life: Life): boolean => life.upper < Number.POSITIVE_INFINITY;

/**
 * Lives in one form. Lines of count 0 are left out; the rest keep their order.
 * Throws a UsageError (`time[1]`, `status[3]`, `upper[0]`, `count[2]`, `entry[4]` …) for lists of different length, numbers
 * below 0, a status other than 0 and 1, an upper age below the lower, an entry at or after the end.
 */
export function livesFrom(lives: Lives): Life[] {
  const [lower, upper] = "time" in lives ? endsFromTimes(lives) : endsFromInspections(lives);
  const first = "time" in lives ? "time" : "lower";
  const end = "time" in lives ? "time" : "upper";
  if (lives.count) demandSameLength("count", lives.count, first, lower.length);
  if (lives.entry) demandSameLength("entry", lives.entry, first, lower.length);
  const found: Life[] = [];
  for (let i = 0; i < lower.length; i++) {
    const count = lives.count?.[i] ?? 1;
    const entry = lives.entry?.[i] ?? 0;
    demandWhole(`count[${i}]`, count);
    demandNotNegative(`entry[${i}]`, entry);
    const last = Number.isFinite(upper[i]!) ? upper[i]! : lower[i]!;
    demand(entry === 0 || entry < last, `entry[${i}]`, entry, `an age below ${end}[${i}] = ${last}`);
    demand(entry <= lower[i]!, `entry[${i}]`, entry, `an age of at most lower[${i}] = ${lower[i]}`);
    if (count > 0) found.push({ lower: lower[i]!, upper: upper[i]!, count, entry });
  }
  return found;
}

function endsFromTimes({ time, status }: TimedLives): [number[], number[]] {
  demandSameLength("status", status, "time", time.length);
  for (let i = 0; i < time.length; i++) {
    const age = time[i]!;
    demand(Number.isFinite(age) && age >= 0, `time[${i}]`, age, "a positive number");
    demand(status[i] === 0 || status[i] === 1, `status[${i}]`, status[i], "1 (failed) or 0 (still good)");
  }
  return [[...time], time.map((age, i) => (status[i] === 1 ? age : Number.POSITIVE_INFINITY))];
}

function endsFromInspections({ lower, upper }: InspectedLives): [number[], number[]] {
  demandSameLength("upper", upper, "lower", lower.length);
  const from = lower.map((age) => age ?? 0);
  const until = upper.map((age) => age ?? Number.POSITIVE_INFINITY);
  for (let i = 0; i < from.length; i++) {
    demandNotNegative(`lower[${i}]`, from[i]!);
    demand(until[i]! >= from[i]!, `upper[${i}]`, upper[i], `an age of at least lower[${i}] = ${from[i]}, or null`);
  }
  return [from, until];
}

/** For fits: an exact failure or an end of inspection at age 0 has no likelihood. Throws a UsageError that names the line. */
export function demandPositiveAges(lives: Lives): void {
  if ("time" in lives) {
    for (const [i, age] of lives.time.entries()) demand(age > 0 || lives.status[i] === 0, `time[${i}]`, age, "a positive number");
  } else {
    for (const [i, age] of lives.upper.entries())
      demand(age === null || age > 0, `upper[${i}]`, age, "a positive number, or null");
  }
}

/** How many failures happened at ages known to differ: what `have` counts where a fit needs two. */
export function differentFailures(lives: readonly Life[]): number {
  return new Set(lives.filter(isFailure).map(({ lower, upper }) => `${lower} ${upper}`)).size;
}

/** Failed lives, counts included. */
export function failureCount(lives: readonly Life[]): number {
  return lives.reduce((sum, life) => sum + (isFailure(life) ? life.count : 0), 0);
}

/** All lives, counts included. */
export function lifeCount(lives: readonly Life[]): number {
  return lives.reduce((sum, life) => sum + life.count, 0);
}
