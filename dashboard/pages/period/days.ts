// Sums on calendar days as YYYY-MM-DD. A day here is a name, not a stretch of time: no zone, no clock.

const dayMs = 86_400_000;

const dateOf = (day: string): Date => new Date(`${day}T00:00:00Z`);
const dayOf = (date: Date): string => date.toISOString().slice(0, 10);

export const isDay = (text: string | undefined): text is string =>
  text !== undefined && /^\d{4}-\d{2}-\d{2}$/.test(text) && !Number.isNaN(dateOf(text).getTime()) && dayOf(dateOf(text)) === text;

export const plusDays = (day: string, days: number): string => dayOf(new Date(dateOf(day).getTime() + days * dayMs));

/** From the first to the second, 0 for the same day. */
export const daysBetween = (from: string, until: string): number => (dateOf(until).getTime() - dateOf(from).getTime()) / dayMs;

/** Monday is 0. */
export const weekdayOf = (day: string): number => (dateOf(day).getUTCDay() + 6) % 7;

export const mondayOf = (day: string): string => plusDays(day, -weekdayOf(day));

/** The first of the month that lies `months` after the month of `day`. */
export function firstOfMonth(day: string, months = 0): string {
  const date = dateOf(day);
  return dayOf(new Date(Date.UTC(date.getUTCFullYear(), date.getUTCMonth() + months, 1)));
}

/** ISO week number. */
export function weekOf(day: string): number {
  const thursday = plusDays(mondayOf(day), 3);
  return 1 + Math.floor(daysBetween(`${thursday.slice(0, 4)}-01-01`, thursday) / 7);
}
