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

/** Badge hours of all machines that have stations of their own; what others drive is left out. */
export const totalHours = (rows: readonly HoursRow[], machines: readonly Machine[]): number => {
  const driven = new Set(machines.filter(({ kind }) => kind === "driven").map(({ machine }) => machine));
  return rows.filter(({ machine }) => !driven.has(machine)).reduce((sum, { enabledHours }) => sum + (enabledHours.best ?? 0), 0);
};

export const nameOf = (machines: readonly Pick<Machine, "machine" | "name">[], machine: string): string =>
  machines.find((each) => each.machine === machine)?.name ?? machine;
