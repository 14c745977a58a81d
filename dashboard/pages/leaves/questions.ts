// Questions that several leaves ask, and small sums on their answers.
import type { Need } from "../../access/rights.ts";
import type { HoursRow, Machine } from "../ask/answers.ts";
import type { Params } from "../ask/ask.ts";
import type { Bucket } from "../charts/chart.ts";
import { firstOfMonth, mondayOf, plusDays } from "../period/days.ts";
import type { Days, Period } from "../period/period.ts";

export const spanOf = (days: Days): Params => ({ since: days.since, until: days.until });

/** The days of a period that count: those that the log has reached. The days after its end are not empty, they are not known. */
export const livedSpan = ({ lived, days }: Period): Params => spanOf(lived ?? days);

/** Readers who are told whole months only get months; everybody else weeks. */
export const bucketFor = (may: readonly Need[]): Bucket => (may.includes("see-log") ? "week" : "month");

/**
 * The weeks or months that a chart of them shows: the period, and at least half a year (of months: a year) up to its end, so that a
 * short period stands among its like.
 */
export function bucketsAround(by: Bucket, { lived, days }: Period, firstDay: string): Days {
  const startOf = (day: string): string => (by === "week" ? mondayOf(day) : firstOfMonth(day));
  const end = lived?.until ?? days.until;
  const until = plusDays(by === "week" ? plusDays(mondayOf(end), 7) : firstOfMonth(end, 1), -1);
  const atLeast = by === "week" ? plusDays(until, 1 - 26 * 7) : firstOfMonth(until, -11);
  const since = days.since < atLeast ? startOf(days.since) : atLeast;
  const first = startOf(firstDay);
  return { since: since < first ? first : since, until };
}

/** Machines that a badge enables: what others drive would count twice, and what is always on has no badge. */
export const badged = (machines: readonly Machine[]): string[] =>
  machines.filter(({ kind }) => kind === "stations").map(({ machine }) => machine);

export function totalHours(rows: readonly HoursRow[], machines: readonly Machine[]): number {
  const own = new Set(badged(machines));
  return rows.filter(({ machine }) => own.has(machine)).reduce((sum, { enabledHours }) => sum + (enabledHours.best ?? 0), 0);
}

export const nameOf = (machines: readonly Pick<Machine, "machine" | "name">[], machine: string): string =>
  machines.find((each) => each.machine === machine)?.name ?? machine;
