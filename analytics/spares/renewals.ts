// When a part will be renewed: one possible future after another, life upon life. Pure.
import { drawRemainingLife, drawWeibull, type LifeGrid, type Random } from "../stats/index.ts";

export interface Renewing {
  /** Of the life until found at its end, in the part's unit. */
  grid: LifeGrid;
  /** Of the piece that is in now; null where nobody knows. */
  age: number | null;
  /** The age at which a good part is changed by plan, in its unit; null where it stays in until its end. */
  planned: number | null;
  /** The same of the piece that is in now, where its edges run out sooner. */
  plannedNow: number | null;
  /** And by the calendar: days from new, and what is left of them for the piece that is in now. */
  plannedDays: { every: number; left: number } | null;
  /** Accidents per unit of use. */
  accidents: number;
}

/**
 * Days ahead on which the part is renewed in one world, ascending, up to `reach`. `dayOf` gives the day by whose end use from now on
 * has come to an amount in that world, infinite beyond the reach. At most `most` renewals are told.
 */
export function renewalDays(
  { grid, age, planned, plannedNow, plannedDays, accidents }: Renewing,
  dayOf: (use: number) => number,
  reach: number,
  random: Random,
  most = 400,
): number[] {
  const days: number[] = [];
  const life = drawWeibull(grid, random);
  const lasting = (of: number | null, limit: number | null): number => {
    const accident = accidents > 0 ? -Math.log1p(-random()) / accidents : Number.POSITIVE_INFINITY;
    if (of !== null) {
      const left = Math.min(drawRemainingLife(life, of, random), accident);
      return limit === null ? left : Math.min(left, Math.max(0, limit - of));
    }
    const whole = Math.min(drawRemainingLife(life, 0, random), accident, limit ?? Number.POSITIVE_INFINITY);
    return whole * random();
  };
  let use = 0;
  let day = 0;
  let next = lasting(age, age === null ? planned : (plannedNow ?? planned));
  let byCalendar = plannedDays === null ? Number.POSITIVE_INFINITY : Math.max(0, plannedDays.left);
  while (days.length < most) {
    const byUse = dayOf(use + next);
    const due = Math.min(byUse, byCalendar);
    if (due > reach) break;
    days.push(due);
    // Changed by the calendar before its use was up: the next one begins with the use of that day.
    use = byUse <= byCalendar ? use + next : Math.max(use, useAt(dayOf, use, use + next, due));
    // No part lasts nothing at all, day after day: a world of that kind ends with one renewal a day.
    day = Math.max(due, day);
    next = lasting(0, planned);
    byCalendar = plannedDays === null ? Number.POSITIVE_INFINITY : due + Math.max(1, plannedDays.every);
  }
  return days;
}

/** The use reached by the end of a day, between two amounts. */
function useAt(dayOf: (use: number) => number, from: number, until: number, day: number): number {
  let [low, high] = [from, until];
  for (let step = 0; step < 30; step++) {
    const middle = (low + high) / 2;
    if (dayOf(middle) <= day) low = middle;
    else high = middle;
  }
  return low;
}

export interface Holding {
  needed: { low: number; best: number; high: number };
  hold: number;
  /** Chance that `hold` is enough. */
  probability: number;
  /** Days ahead of today by which an order must be under way; null where what is there is enough. */
  orderIn: number | null;
}

/** What renewals in many worlds come to over so many days: how many, how many to have, and when to order with so many in stock. */
export function holdingOf(
  worlds: readonly (readonly number[])[],
  { days, level, inStock, leadDays }: { days: number; level: number; inStock: number | null; leadDays: number },
): Holding {
  const counts = worlds.map((renewals) => renewals.filter((day) => day <= days).length).sort((a, b) => a - b);
  const at = (share: number): number => counts[Math.min(counts.length - 1, Math.floor(share * counts.length))]!;
  const most = counts.at(-1)!;
  const shareUpTo = (stock: number): number => counts.filter((count) => count <= stock).length / counts.length;
  let hold = 0;
  while (hold < most && shareUpTo(hold) < level) hold += 1;
  // The day on which stock runs out is that of the renewal after the last piece; one chance in 1 − level comes before the order's.
  const out =
    inStock === null ? [] : worlds.map((renewals) => renewals[inStock] ?? Number.POSITIVE_INFINITY).sort((a, b) => a - b);
  const runsOut = out[Math.floor((1 - level) * out.length + 1e-9)] ?? Number.POSITIVE_INFINITY;
  return {
    needed: { low: at(0.1), best: counts.reduce((sum, count) => sum + count, 0) / counts.length, high: at(0.9) },
    hold,
    probability: shareUpTo(hold),
    orderIn: runsOut <= days + leadDays ? Math.max(0, Math.floor(runsOut - leadDays)) : null,
  };
}
