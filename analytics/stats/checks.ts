// The checks that every statistic shares: each throws a UsageError with field, value and what would do.
import { UsageError } from "../../shared/errors.ts";

/** Throws a UsageError unless `ok`. */
export function demand(ok: boolean, field: string, value: unknown, expected: string): asserts ok {
  if (!ok) throw new UsageError({ field, value, expected });
}

/** The complaint about one place of a list: built only when something is wrong, since lists are long. */
export const wrongAt = (list: string, i: number, value: unknown, expected: string): UsageError =>
  new UsageError({ field: `${list}[${i}]`, value, expected });

export const demandPositive = (field: string, value: number): void =>
  demand(Number.isFinite(value) && value > 0, field, value, "a positive number");

export const demandNotNegative = (field: string, value: number): void =>
  demand(Number.isFinite(value) && value >= 0, field, value, "a number of 0 or more");

/** Strictly between 0 and 1: a level, a significance. */
export const demandShare = (field: string, value: number): void =>
  demand(value > 0 && value < 1, field, value, "a number between 0 and 1");

export const demandWhole = (field: string, value: number, least = 0): void =>
  demand(Number.isSafeInteger(value) && value >= least, field, value, `a whole number of ${least} or more`);

export const demandSameLength = (field: string, list: readonly unknown[], other: string, length: number): void =>
  demand(list.length === length, field, list.length, `${length} values, as many as ${other}`);

/** The figure itself, or null where it doesn't exist as a finite number. */
export const finiteOrNull = (figure: number): number | null => (Number.isFinite(figure) ? figure : null);
