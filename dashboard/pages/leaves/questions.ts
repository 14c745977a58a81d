// Questions that several leaves ask, and small sums on their answers.
import type { HoursRow, Machine } from "../ask/answers.ts";
import type { Params } from "../ask/ask.ts";
import { mondayOf, plusDays } from "../period/days.ts";
import type { Days, Period } from "../period/period.ts";

export const spanOf = (days: Days): Params => ({ since: days.since, until: days.until });

/** The weeks a chart of weeks shows: the period, and at least half a year up to its end, so that a short period stands among its like. */
export function weeksAround({ lived, days }: Period, firstDay: string): Days {
  const until = plusDays(mondayOf(lived?.until ?? days.until), 6);
  const halfYear = plusDays(until, 1 - 26 * 7);
  const since = days.since < halfYear ? mondayOf(days.since) : halfYear;
  const first = mondayOf(firstDay);
  return { since: since < first ? first : since, until };
}

/** Machines whose badge hours may be added up: what others drive would count twice. */
export const undriven = (machines: readonly Machine[]): string[] =>
  machines.filter(({ kind }) => kind !== "driven").map(({ machine }) => machine);

export function totalHours(rows: readonly HoursRow[], machines: readonly Machine[]): number {
  const own = new Set(undriven(machines));
  return rows.filter(({ machine }) => own.has(machine)).reduce((sum, { enabledHours }) => sum + (enabledHours.best ?? 0), 0);
}

export const nameOf = (machines: readonly Pick<Machine, "machine" | "name">[], machine: string): string =>
  machines.find((each) => each.machine === machine)?.name ?? machine;
