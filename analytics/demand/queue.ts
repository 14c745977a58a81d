// A queue at a group of machines, in typed arrays: who comes when is drawn once, and every "what if" meets the same people.
import { exponential, type Random } from "./chance.ts";

/** Open time as slices of hours since the span's start, in order; spells are from unlocking to locking up. */
export interface Schedule {
  from: Float64Array;
  until: Float64Array;
  /** When its spell is locked up; infinity where nobody locks up. */
  closes: Float64Array;
}

/** A stretch in which a unit is out of order, away, or not yet or no longer there; hours, in order, none touching another. */
export interface Away {
  from: Float64Array;
  until: Float64Array;
}

/** Turns as long as the group's own, all equally likely: hours that the unit is taken, and hours of use in them. */
export interface TurnLengths {
  taken: Float64Array;
  used: Float64Array;
}

/** Everybody who comes, in order of time, each with a luck of their own. */
export interface Arrivals {
  count: number;
  time: Float64Array;
  slice: Int32Array;
  taken: Float64Array;
  used: Float64Array;
  /** Uniform in [0, 1): with a share s of the people, those below s come. */
  mark: Float64Array;
}

/** Longest wait, in hours, after which somebody leaves; the last quarter of an hour before locking up nobody begins afresh. */
export interface Manners {
  patience: number;
  lastStart: number;
}

export interface Served {
  came: number;
  turns: number;
  /** Left because every unit in order was taken. */
  turnedAway: number;
  /** Came or would have begun too late before locking up. */
  tooLate: number;
  /** Came while no unit was in order. */
  foundNone: number;
  /** Turns that began after a wait. */
  waited: number;
  /** Hours that people waited, served in the end or not; of these, of the served. */
  waitHours: number;
  servedWaitHours: number;
  /** Hours of use in all turns, and hours for which units were taken. */
  useHours: number;
  takenHours: number;
}

export const emptyArrivals = (room: number): Arrivals => ({
  count: 0,
  time: new Float64Array(room),
  slice: new Int32Array(room),
  taken: new Float64Array(room),
  used: new Float64Array(room),
  mark: new Float64Array(room),
});

/**
 * Draws who comes: a Poisson process with `rates[slice]` people an hour in each slice. Fills `into` anew (made
 * longer where it has to be) and gives it back. Each arrival takes three numbers from the generator, whatever they come to.
 */
export function drawArrivals(
  schedule: Schedule,
  rates: Float64Array,
  lengths: TurnLengths,
  random: Random,
  into: Arrivals = emptyArrivals(1024),
): Arrivals {
  const { from, until } = schedule;
  const many = lengths.taken.length;
  let arrivals = into;
  let count = 0;
  // Time runs at the rate of each slice: between two people lies an exponential amount of expected people.
  let left = exponential(random);
  for (let slice = 0; slice < from.length; slice++) {
    const rate = rates[slice]!;
    if (rate <= 0) continue;
    let at = from[slice]!;
    const end = until[slice]!;
    for (;;) {
      const step = left / rate;
      if (at + step >= end) {
        left -= (end - at) * rate;
        break;
      }
      at += step;
      if (count === arrivals.time.length) arrivals = longer(arrivals);
      const pick = Math.floor(random() * many);
      arrivals.time[count] = at;
      arrivals.slice[count] = slice;
      arrivals.taken[count] = lengths.taken[pick]!;
      arrivals.used[count] = lengths.used[pick]!;
      arrivals.mark[count] = random();
      count++;
      left = exponential(random);
    }
  }
  arrivals.count = count;
  return arrivals;
}

function longer(arrivals: Arrivals): Arrivals {
  const made = emptyArrivals(arrivals.time.length * 2);
  made.time.set(arrivals.time);
  made.slice.set(arrivals.slice);
  made.taken.set(arrivals.taken);
  made.used.set(arrivals.used);
  made.mark.set(arrivals.mark);
  return made;
}

/** Both in order of time; of the same instant the first's first. */
export function mergedArrivals(one: Arrivals, other: Arrivals): Arrivals {
  const made = emptyArrivals(one.count + other.count);
  let [i, j] = [0, 0];
  for (let at = 0; at < one.count + other.count; at++) {
    const isOne = j >= other.count || (i < one.count && one.time[i]! <= other.time[j]!);
    const source = isOne ? one : other;
    const index = isOne ? i++ : j++;
    made.time[at] = source.time[index]!;
    made.slice[at] = source.slice[index]!;
    made.taken[at] = source.taken[index]!;
    made.used[at] = source.used[index]!;
    made.mark[at] = source.mark[index]!;
  }
  made.count = one.count + other.count;
  return made;
}

/** What the running figures are kept for; `began`, `ended` and `unit` hold the turns where a list is asked for. */
export interface TurnList {
  count: number;
  began: Float64Array;
  ended: Float64Array;
  unit: Int32Array;
}

/**
 * Lets the people meet the units, first come first served, each waiting up to the patience; a free unit early in the order is taken
 * first. Who comes while no unit is in order leaves. A turn that has begun is finished even if an outage begins meanwhile, but is cut
 * where the doors close. `share` is the part of the people who come; `schedule` must have the slices that the arrivals were
 * drawn for.
 *
 * Exact for first come first served: whoever is ahead takes the unit that is free first, and who gives up takes none, so
 * that one pass with the time at which each unit is free again is enough (Kiefer and Wolfowitz, Trans. AMS 78, 1955).
 */
export function serve(
  arrivals: Arrivals,
  schedule: Schedule,
  units: readonly Away[],
  { patience, lastStart }: Manners,
  share = 1,
  list?: TurnList,
): Served {
  const many = units.length;
  const freeFrom = new Float64Array(many).fill(Number.NEGATIVE_INFINITY);
  const next = new Int32Array(many);
  const { count, time, slice, taken, used, mark } = arrivals;
  const { closes } = schedule;
  let [came, turns, turnedAway, tooLate, foundNone, waited] = [0, 0, 0, 0, 0, 0];
  let [waitHours, servedWaitHours, useHours, takenHours] = [0, 0, 0, 0];
  for (let i = 0; i < count; i++) {
    if (mark[i]! >= share) continue;
    came++;
    const at = time[i]!;
    const end = closes[slice[i]!]!;
    const lastAt = end - lastStart;
    if (at > lastAt) {
      tooLate++;
      continue;
    }
    let chosen = -1;
    let begins = Number.POSITIVE_INFINITY;
    let isAnyFit = false;
    for (let u = 0; u < many; u++) {
      const away = units[u]!;
      const { length } = away.from;
      // Stretches that are over by now are over for good: time only goes on.
      let k = next[u]!;
      while (k < length && away.until[k]! <= at) k++;
      next[u] = k;
      if (!(k < length && away.from[k]! <= at)) isAnyFit = true;
      let start = freeFrom[u]! > at ? freeFrom[u]! : at;
      while (k < length && away.from[k]! <= start) {
        if (away.until[k]! > start) start = away.until[k]!;
        k++;
      }
      if (start < begins) {
        begins = start;
        chosen = u;
        if (start === at) break;
      }
    }
    if (begins > at) {
      if (!isAnyFit || chosen < 0) {
        foundNone++;
        continue;
      }
      if (begins - at > patience || begins > lastAt) {
        const waits = Math.min(patience, lastAt - at);
        waitHours += waits;
        if (patience <= lastAt - at) turnedAway++;
        else tooLate++;
        continue;
      }
      waited++;
      waitHours += begins - at;
      servedWaitHours += begins - at;
    }
    const wanted = taken[i]!;
    const ends = begins + wanted > end ? end : begins + wanted;
    const hours = ends - begins;
    freeFrom[chosen] = ends;
    turns++;
    takenHours += hours;
    useHours += wanted > hours ? (used[i]! * hours) / wanted : used[i]!;
    if (list !== undefined) keepTurn(list, begins, ends, chosen);
  }
  return { came, turns, turnedAway, tooLate, foundNone, waited, waitHours, servedWaitHours, useHours, takenHours };
}

export const emptyTurns = (room = 1024): TurnList => ({
  count: 0,
  began: new Float64Array(room),
  ended: new Float64Array(room),
  unit: new Int32Array(room),
});

function keepTurn(list: TurnList, began: number, ended: number, unit: number): void {
  if (list.count === list.began.length) {
    const made = emptyTurns(list.count * 2);
    made.began.set(list.began);
    made.ended.set(list.ended);
    made.unit.set(list.unit);
    Object.assign(list, { began: made.began, ended: made.ended, unit: made.unit });
  }
  list.began[list.count] = began;
  list.ended[list.count] = ended;
  list.unit[list.count] = unit;
  list.count++;
}

/** Hours with 0, 1, … units taken within the open time, from the turns of `serve` and the schedule's own hours. */
export function ladderOf(list: TurnList, units: number, openHours: number): Float64Array {
  const steps: { at: number; by: 1 | -1 }[] = [];
  for (let i = 0; i < list.count; i++) steps.push({ at: list.began[i]!, by: 1 }, { at: list.ended[i]!, by: -1 });
  steps.sort((a, b) => a.at - b.at || a.by - b.by);
  const hours = new Float64Array(units + 1);
  let inUse = 0;
  let last = steps[0]?.at ?? 0;
  for (const { at, by } of steps) {
    hours[inUse]! += at - last;
    inUse += by;
    last = at;
  }
  let busy = 0;
  for (let n = 1; n <= units; n++) busy += hours[n]!;
  hours[0] = Math.max(0, openHours - busy);
  return hours;
}
