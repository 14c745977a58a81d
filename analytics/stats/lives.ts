// Lives: how long parts lasted, as far as that is known.
import { ensureSameLength, wrongAt } from "./checks.ts";

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
  const isTimed = "time" in lives;
  const size = isTimed ? lives.time.length : lives.lower.length;
  ensureSameLength(isTimed ? "status" : "upper", isTimed ? lives.status : lives.upper, isTimed ? "time" : "lower", size);
  if (lives.count) ensureSameLength("count", lives.count, isTimed ? "time" : "lower", size);
  if (lives.entry) ensureSameLength("entry", lives.entry, isTimed ? "time" : "lower", size);
  const found: Life[] = [];
  for (let i = 0; i < size; i++) {
    const [lower, upper] = isTimed ? endFromTime(lives, i) : endFromInspections(lives, i);
    const count = lives.count?.[i] ?? 1;
    const entry = lives.entry?.[i] ?? 0;
    if (!(Number.isSafeInteger(count) && count >= 0)) throw wrongAt("count", i, count, "a whole number of 0 or more");
    const last = entry === 0 || entry < upper ? lower : Number.NEGATIVE_INFINITY;
    if (!(entry >= 0 && entry <= last)) throw wrongAt("entry", i, entry, `an age from 0 to below the end, ${lower}`);
    if (count > 0) found.push({ lower, upper, count, entry });
  }
  return found;
}

function endFromTime({ time, status }: TimedLives, i: number): [lower: number, upper: number] {
  const age = time[i]!;
  if (!(age >= 0 && age < Number.POSITIVE_INFINITY)) throw wrongAt("time", i, age, "a positive number");
  if (status[i] !== 0 && status[i] !== 1) throw wrongAt("status", i, status[i], "1 (failed) or 0 (still good)");
  return [age, status[i] === 1 ? age : Number.POSITIVE_INFINITY];
}

function endFromInspections(lives: InspectedLives, i: number): [lower: number, upper: number] {
  const lower = lives.lower[i] ?? 0;
  const upper = lives.upper[i] ?? Number.POSITIVE_INFINITY;
  if (!(lower >= 0 && lower < Number.POSITIVE_INFINITY)) throw wrongAt("lower", i, lower, "a number of 0 or more, or null");
  if (!(upper >= lower)) throw wrongAt("upper", i, upper, `an age of at least lower[${i}] = ${lower}, or null`);
  return [lower, upper];
}

/** For fits: an exact failure or an end of inspection at age 0 has no likelihood. Throws a UsageError that names the line. */
export function ensurePositiveAges(lives: Lives): void {
  const [name, ages] = "time" in lives ? (["time", lives.time] as const) : (["upper", lives.upper] as const);
  for (let i = 0; i < ages.length; i++) {
    if (ages[i] === 0 && !("time" in lives && lives.status[i] === 0)) throw wrongAt(name, i, 0, "a positive number");
  }
}

/** 0 without failures, 1 where all of them can be of one age, 2 where at least two are known to differ. */
export function differentFailures(lives: readonly Life[]): 0 | 1 | 2 {
  const first = lives.find(isFailure);
  if (!first) return 0;
  return lives.some((life) => isFailure(life) && (life.lower !== first.lower || life.upper !== first.upper)) ? 2 : 1;
}

/** Failed lives, counts included. */
export function failureCount(lives: readonly Life[]): number {
  return lives.reduce((sum, life) => sum + (isFailure(life) ? life.count : 0), 0);
}

/** All lives, counts included. */
export function lifeCount(lives: readonly Life[]): number {
  return lives.reduce((sum, life) => sum + life.count, 0);
}
