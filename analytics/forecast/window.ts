// The window of a date from its worlds.

/** Days ahead; infinite beyond the reach. */
export interface Window {
  early: number;
  median: number;
  late: number;
}

/** Worlds in order; each list is sorted once. */
const orders = new WeakMap<readonly number[], Float64Array>();
export function inOrder(worlds: readonly number[]): Float64Array {
  const known = orders.get(worlds) ?? Float64Array.from(worlds).sort();
  orders.set(worlds, known);
  return known;
}

/**
 * The 10, 50 and 90 % days of the worlds. Days come whole, and on a busy one many worlds may meet: of the day on which the 10 % point
 * falls and the next one in any world, early is the one before which nearer to one world in ten lies; late likewise from the other
 * side. No average of two: days beyond the reach can't be averaged. Null of no worlds.
 */
export function windowOf(worlds: readonly number[]): Window | null {
  const n = worlds.length;
  if (n === 0) return null;
  const sorted = inOrder(worlds);
  const at = (share: number): number => sorted[Math.min(n - 1, Math.floor(share * n))]!;
  const median = at(0.5);
  let early = at(0.1);
  const before = sorted.findIndex((days) => days >= early) / n;
  const next = sorted.findIndex((days) => days > early);
  if (next !== -1 && sorted[next]! <= median && Math.abs(next / n - 0.1) < Math.abs(before - 0.1)) early = sorted[next]!;
  let late = at(0.9);
  const behind = 1 - (sorted.findLastIndex((days) => days <= late) + 1) / n;
  const last = sorted.findLastIndex((days) => days < late);
  if (last !== -1 && sorted[last]! >= median && Math.abs(1 - (last + 1) / n - 0.1) < Math.abs(behind - 0.1)) late = sorted[last]!;
  return { early, median, late };
}

const dates = new Map<string, Map<number, string>>();
const DAY = 86_400_000;

/** The date so many days after another: a sum of the calendar alone, kept for the next asker. */
export function dateAhead(today: string, days: number): string {
  let ahead = dates.get(today);
  if (ahead === undefined) {
    ahead = new Map();
    dates.clear();
    dates.set(today, ahead);
  }
  const known = ahead.get(days) ?? new Date(Date.parse(`${today}T00:00:00Z`) + days * DAY).toISOString().slice(0, 10);
  ahead.set(days, known);
  return known;
}
