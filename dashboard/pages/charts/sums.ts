// Rows of hours added up for a chart. Only best figures add; a range of a sum is the server's to tell.
import type { HoursRow, MaybeRange } from "../ask/answers.ts";
import { daysBetween, plusDays, weekdayOf } from "../period/days.ts";
import type { Days } from "../period/period.ts";

/** The figure of several rows together: of one row as it stands, of several the sum of best, ends unknown. */
export function together(ranges: readonly MaybeRange[]): MaybeRange {
  if (ranges.length === 1) return ranges[0]!;
  const best = ranges.reduce((sum, { best }) => sum + (best ?? 0), 0);
  const isExact = ranges.every(({ low, high }) => low !== null && low === high);
  return isExact ? { low: best, best, high: best } : { low: null, best, high: null };
}

/** Rows by a key, in the order in which keys first come. */
export function grouped<Row, Key>(rows: readonly Row[], keyOf: (row: Row) => Key): Map<Key, Row[]> {
  const groups = new Map<Key, Row[]>();
  for (const row of rows) {
    const key = keyOf(row);
    const group = groups.get(key);
    if (group) group.push(row);
    else groups.set(key, [row]);
  }
  return groups;
}

export interface HourOfWeek {
  hourOfWeek: number;
  /** Minutes in use within an average hour of that weekday, of 60 for each unit. */
  minutes: number;
  /** How many such weekdays the span has. */
  days: number;
}

/** All 168 hours of the week, Monday 00 first. */
export function minutesByHourOfWeek(rows: readonly HoursRow[], machines: readonly string[], lived: Days): HourOfWeek[] {
  const sums = new Array<number>(168).fill(0);
  const wanted = new Set(machines);
  for (const row of rows)
    if (wanted.has(row.machine) && row.hourOfWeek !== undefined) sums[row.hourOfWeek]! += row.enabledHours.best ?? 0;
  const days = weekdayCounts(lived);
  return sums.map((hours, hourOfWeek) => {
    const count = days[Math.floor(hourOfWeek / 24)]!;
    return { hourOfWeek, minutes: count === 0 ? 0 : (60 * hours) / count, days: count };
  });
}

/** How many Mondays, Tuesdays … a span of days has. */
export function weekdayCounts({ since, until }: Days): number[] {
  const counts = new Array<number>(7).fill(Math.floor((daysBetween(since, until) + 1) / 7));
  for (let day = since, rest = (daysBetween(since, until) + 1) % 7; rest > 0; rest--, day = plusDays(day, 1))
    counts[weekdayOf(day)]! += 1;
  return counts;
}

/** Minutes in use within an average hour of the day, 24 of them. */
export function minutesByHour(rows: readonly HoursRow[], machines: readonly string[], lived: Days): number[] {
  const byWeek = minutesByHourOfWeek(rows, machines, lived);
  const days = daysBetween(lived.since, lived.until) + 1;
  return Array.from({ length: 24 }, (_, hour) =>
    byWeek
      .filter(({ hourOfWeek }) => hourOfWeek % 24 === hour)
      .reduce((sum, { minutes, days: count }) => sum + (minutes * count) / days, 0),
  );
}
