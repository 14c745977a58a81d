// What would change: the same people meet the group as it is and as it might be, in as many ways as it may have been.

import type { Rates } from "./arrivals.ts";
import { randomFrom } from "./chance.ts";
import { drawnLengths } from "./lengths.ts";
import {
  type Arrivals,
  type Away,
  drawArrivals,
  emptyArrivals,
  type Manners,
  mergedArrivals,
  type Schedule,
  type Served,
  serve,
  type TurnLengths,
  type TurnList,
} from "./queue.ts";

export interface SimulatedSchedule extends Schedule {
  hour: Int32Array;
  month: Int32Array;
  spell: Int32Array;
  /** Of a schedule with more opening hours: slices that are open only then, and when the others are locked up as it is. */
  isExtra?: Uint8Array;
  closesAsIs?: Float64Array;
}

/** What might be different; nothing where nothing is given. */
export interface Change {
  /** More units. */
  add?: number;
  /** Times as many wishes. */
  wishes?: number;
  /** Repairs take this part of the time. */
  repair?: number;
  /** Index of a unit that is out for a month. */
  out?: number;
}

export interface SimulatedGroup {
  units: readonly Away[];
  lengths: TurnLengths;
  draws: readonly { rates: Rates }[];
}

export interface Simulation {
  seed: number;
  /** Stream of this group's luck. */
  stream: number;
  manners: Manners;
  /** Draws to use, and people to draw in all, at the most: beyond that every second, third … spell stands for all. */
  draws: number;
  people: number;
  /** Hours of the span. */
  spanHours: number;
}

export interface Pair {
  before: Served;
  after: Served;
}

export const monthHours = (365.25 / 12) * 24;
const always: Away = { from: new Float64Array(), until: new Float64Array() };

/** The units as they would be. */
export function changedUnits(units: readonly Away[], { add = 0, repair = 1 }: Change): Away[] {
  const repaired = units.map(({ from, until }) => ({
    from,
    // A unit that isn't there yet or any more is no repair.
    until: until.map((end, k) =>
      Number.isFinite(end) && Number.isFinite(from[k]!) ? from[k]! + (end - from[k]!) * repair : end,
    ),
  }));
  return [...repaired, ...Array.from({ length: add }, () => always)];
}

/** The unit away from `from` to `until` as well. */
export function withOutage({ from, until }: Away, begins: number, ends: number): Away {
  const stretches = [
    ...Array.from(from, (start, k) => [start, until[k]!] as [number, number]),
    [begins, ends] as [number, number],
  ];
  stretches.sort((a, b) => a[0] - b[0]);
  const joined: [number, number][] = [];
  for (const stretch of stretches) {
    const last = joined.at(-1);
    if (last && stretch[0] <= last[1]) last[1] = Math.max(last[1], stretch[1]);
    else joined.push([...stretch]);
  }
  return { from: Float64Array.from(joined, ([start]) => start), until: Float64Array.from(joined, ([, end]) => end) };
}

/** Expected people in the whole schedule at these rates. */
export function expectedPeople({ from, until, hour, month, isExtra }: SimulatedSchedule, rates: Rates): number {
  let sum = 0;
  for (let slice = 0; slice < from.length; slice++) {
    if (isExtra?.[slice]) continue;
    sum += (until[slice]! - from[slice]!) * rates.hour[hour[slice]!]! * rates.month[month[slice]!]!;
  }
  return sum;
}

/**
 * Figures a month, before and after, one pair for each draw. Both meet the same people with the same luck: times, lengths of turns and
 * patience; with more wishes some come in addition; with more hours those who come in them. Figures are those of the draw's
 * own span and luck, scaled to a month of 365.25/12 days. With a unit out, each draw is one month of the span, chosen by chance.
 */
export function simulate(
  group: SimulatedGroup,
  schedule: SimulatedSchedule,
  change: Change,
  { seed, stream, manners, draws, people, spanHours }: Simulation,
  lists?: { before: TurnList; after: TurnList; openHours: number },
): Pair[] {
  const many = Math.min(draws, group.draws.length);
  if (many === 0 || group.lengths.taken.length === 0) return [];
  const { from, until, hour, month, spell, isExtra, closesAsIs } = schedule;
  const wishes = change.wishes ?? 1;
  const most = Math.max(1, wishes);
  const stride = Math.max(1, Math.ceil((expectedPeople(schedule, group.draws[0]!.rates) * most * many) / people));
  const asIs: Schedule = closesAsIs ? { from, until, closes: closesAsIs } : schedule;
  const rates = new Float64Array(from.length);
  const extraRates = new Float64Array(isExtra ? from.length : 0);
  const changed = changedUnits(group.units, change);
  let people0: Arrivals = emptyArrivals(4096);
  const pairs: Pair[] = [];
  for (let draw = 0; draw < many; draw++) {
    const random = randomFrom(seed, stream * 65_536 + draw);
    const lengths = drawnLengths(group.lengths, random);
    const drawn = group.draws[draw]!.rates;
    const outFrom = random() * Math.max(0, spanHours - monthHours);
    const outUntil = outFrom + monthHours;
    const isOutAsked = change.out !== undefined;
    let [simulated, openHours] = [0, 0];
    for (let slice = 0; slice < from.length; slice++) {
      const rate = drawn.hour[hour[slice]!]! * drawn.month[month[slice]!]! * most;
      const isIn = isOutAsked ? from[slice]! < outUntil && until[slice]! > outFrom : spell[slice]! % stride === draw % stride;
      rates[slice] = isIn && !isExtra?.[slice] ? rate : 0;
      if (isExtra) extraRates[slice] = isIn && isExtra[slice] ? rate : 0;
      simulated += isIn ? 1 : 0;
      if (isIn && !isExtra?.[slice]) openHours += until[slice]! - from[slice]!;
    }
    people0 = drawArrivals(schedule, rates, lengths, random, people0);
    const everybody = isExtra
      ? mergedArrivals(people0, drawArrivals(schedule, extraRates, lengths, randomFrom(seed, stream * 65_536 + 32_768 + draw)))
      : people0;
    const units = isOutAsked
      ? changed.map((unit, index) => (index === change.out ? withOutage(unit, outFrom, outUntil) : unit))
      : changed;
    const list = draw === 0 ? lists : undefined;
    if (list) list.openHours = openHours;
    const scale =
      simulated === 0 ? 0 : isOutAsked ? monthHours / Math.min(monthHours, spanHours) : (stride * monthHours) / spanHours;
    const before = serve(people0, asIs, group.units, manners, 1 / most, list?.before);
    const after = serve(everybody, schedule, units, manners, wishes / most, list?.after);
    pairs.push({ before: scaled(before, scale), after: scaled(after, scale) });
  }
  return pairs;
}

function scaled(served: Served, scale: number): Served {
  return Object.fromEntries(Object.entries(served).map(([name, figure]) => [name, figure * scale])) as unknown as Served;
}
