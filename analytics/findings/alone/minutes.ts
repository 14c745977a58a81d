// How long one person was alone in a stretch of time: as the badges tell, and between what bounds.
import type { Range } from "../../../shared/errors.ts";

export interface Presence {
  person: string;
  from: Date;
  /** The end: at the earliest, most likely, at the latest. */
  low: Date;
  best: Date;
  high: Date;
}

type Interval = readonly [from: number, until: number];

/** Between two badges this far apart a member may have stayed, working by hand; after longer they came again. */
const VISIT_GAP_MS = 3 * 3_600_000;

/**
 * Minutes within `[from, until)` in which `owner`'s badges were active and nobody else was there. `best`: nobody else's badge active,
 * by the best ends. `high`: the owner as long as possible, the others as short. `low`: the owner as short as possible, and each of the
 * others present from the first to the last badge of a visit, at the latest ends.
 */
export function minutesAlone(owner: string, sessions: readonly Presence[], from: Date, until: Date): Range {
  const own = sessions.filter(({ person }) => person === owner);
  const others = sessions.filter(({ person }) => person !== owner);
  const window: Interval = [from.getTime(), until.getTime()];
  const ends = (list: readonly Presence[], end: "low" | "best" | "high"): Interval[] =>
    list.map((session) => [session.from.getTime(), session[end].getTime()]);
  const alone = (mine: Interval[], theirs: Interval[]) => minutesOf(without(union(clip(mine, window)), union(theirs)));
  const best = alone(ends(own, "best"), ends(others, "best"));
  return {
    low: Math.min(best, alone(ends(own, "low"), visitsOf(others))),
    best,
    high: Math.max(best, alone(ends(own, "high"), ends(others, "low"))),
  };
}

/** Each person from the first badge of a visit to the last. */
export function visitsOf(sessions: readonly Presence[]): Interval[] {
  const byPerson = new Map<string, Interval[]>();
  for (const { person, from, high } of sessions)
    byPerson.set(person, [...(byPerson.get(person) ?? []), [from.getTime(), high.getTime()]]);
  return [...byPerson.values()].flatMap((list) => union(list, VISIT_GAP_MS));
}

/** Intervals in order, those that meet (or are at most `gap` apart) in one. */
function union(intervals: readonly Interval[], gap = 0): Interval[] {
  const joined: [number, number][] = [];
  for (const [from, until] of [...intervals].sort((a, b) => a[0] - b[0])) {
    if (until <= from) continue;
    const last = joined.at(-1);
    if (last !== undefined && from <= last[1] + gap) last[1] = Math.max(last[1], until);
    else joined.push([from, until]);
  }
  return joined;
}

const clip = (intervals: readonly Interval[], [from, until]: Interval): Interval[] =>
  intervals.map(([a, b]) => [Math.max(a, from), Math.min(b, until)]);

/** What of `mine` lies in none of `theirs`; both in order and apart. */
function without(mine: readonly Interval[], theirs: readonly Interval[]): Interval[] {
  return mine.flatMap(([from, until]) => {
    const left: Interval[] = [];
    let at = from;
    for (const [a, b] of theirs) {
      if (b <= at || a >= until) continue;
      if (a > at) left.push([at, a]);
      at = Math.max(at, b);
    }
    if (at < until) left.push([at, until]);
    return left;
  });
}

const minutesOf = (intervals: readonly Interval[]): number =>
  intervals.reduce((sum, [from, until]) => sum + until - from, 0) / 60_000;
