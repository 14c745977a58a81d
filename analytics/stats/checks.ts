// The checks that every statistic shares: each throws a UsageError with field, value and what would do.
import { UsageError } from "../../shared/errors.ts";

/** Throws a UsageError unless `ok`. */
export function ensure(ok: boolean, field: string, value: unknown, expected: string): asserts ok {
  if (!ok) throw new UsageError({ field, value, expected });
}

/** The complaint about one place of a list: built only when something is wrong, since lists are long. */
export const wrongAt = (list: string, i: number, value: unknown, expected: string): UsageError =>
  new UsageError({ field: `${list}[${i}]`, value, expected });

export const ensurePositive = (field: string, value: number): void =>
  ensure(Number.isFinite(value) && value > 0, field, value, "a positive number");

export const ensureNotNegative = (field: string, value: number): void =>
  ensure(Number.isFinite(value) && value >= 0, field, value, "a number of 0 or more");

/** Strictly between 0 and 1: a level, a significance. */
export const ensureShare = (field: string, value: number): void =>
  ensure(value > 0 && value < 1, field, value, "a number between 0 and 1");

export const ensureWhole = (field: string, value: number, least = 0): void =>
  ensure(Number.isSafeInteger(value) && value >= least, field, value, `a whole number of ${least} or more`);

/** Of so many trials so many hits: both whole, at least one trial. */
export function ensureHits(hits: number, trials: number): void {
  ensureWhole("trials", trials, 1);
  ensureWhole("hits", hits);
  ensure(hits <= trials, "hits", hits, `at most trials = ${trials}`);
}

export const ensureSameLength = (field: string, list: readonly unknown[], other: string, length: number): void =>
  ensure(list.length === length, field, list.length, `${length} values, as many as ${other}`);

/** The figure itself, or null where it doesn't exist as a finite number. */
export const finiteOrNull = (figure: number): number | null => (Number.isFinite(figure) ? figure : null);
