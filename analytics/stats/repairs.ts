// Repairs: when machines that are mended and go on broke down.
import { ensure, ensurePositive, ensureSameLength, ensureWhole } from "./checks.ts";

/** Ages at each event, from new or from the start of the watch; `system` where there are several. */
export interface TimedRepairs {
  system?: readonly (string | number)[] | undefined;
  time: readonly number[];
  /** Until when it was watched: one age for all, one per system, or its own last event (failure-truncated). */
  end: number | "last-event" | Readonly<Record<string, number>>;
}

/** Counts between ascending `ends`; the first stretch begins at 0. */
export interface GroupedRepairs {
  ends: readonly number[];
  counts: readonly number[];
}

export type Repairs = TimedRepairs | GroupedRepairs;

export interface System {
  name: string;
  /** Ascending. */
  times: number[];
  end: number;
  /** The end is the last event itself. */
  endsWithEvent: boolean;
}

export const isGrouped = (repairs: Repairs): repairs is GroupedRepairs => "ends" in repairs;

/**
 * Events sorted and told apart by system. Systems named in `end` without an event are watched all the same.
 * Throws a UsageError for ages not above 0 or beyond the end, a system without an end, lists of different length.
 */
export function systemsFrom({ system, time, end }: TimedRepairs): System[] {
  if (system) ensureSameLength("system", system, "time", time.length);
  const times = new Map<string, number[]>();
  if (typeof end === "object") for (const name of Object.keys(end)) times.set(name, []);
  else if (!system) times.set("", []);
  if (typeof end === "number") ensurePositive("end", end);
  if (typeof end === "object") ensure(system !== undefined, "system", undefined, "a list that names the system of each time");
  for (const [i, age] of time.entries()) {
    ensurePositive(`time[${i}]`, age);
    const name = String(system?.[i] ?? "");
    if (typeof end === "object") ensure(Object.hasOwn(end, name), `system[${i}]`, name, "a system named in end");
    const last = typeof end === "number" ? end : end === "last-event" ? age : end[name]!;
    ensure(age <= last, `time[${i}]`, age, `an age of at most the end of watch, ${last}`);
    const list = times.get(name) ?? [];
    list.push(age);
    times.set(name, list);
  }
  return [...times].map(([name, list]) => {
    if (typeof end === "object") ensurePositive(`end.${name}`, end[name]!);
    const ordered = list.sort((a, b) => a - b);
    const last = typeof end === "number" ? end : end === "last-event" ? (ordered.at(-1) ?? 0) : end[name]!;
    return { name, times: ordered, end: last, endsWithEvent: end === "last-event" };
  });
}

/** The stretches of grouped repairs. Throws a UsageError unless the ends rise from above 0 and the counts are whole. */
export function stretchesFrom({ ends, counts }: GroupedRepairs): { from: number; until: number; count: number }[] {
  ensureSameLength("counts", counts, "ends", ends.length);
  return ends.map((until, i) => {
    const from = i === 0 ? 0 : ends[i - 1]!;
    ensure(Number.isFinite(until) && until > from, `ends[${i}]`, until, `a number above ${from}`);
    ensureWhole(`counts[${i}]`, counts[i]!);
    return { from, until, count: counts[i]! };
  });
}

/** All events, at whatever system. */
export function eventCount(repairs: Repairs): number {
  return isGrouped(repairs) ? repairs.counts.reduce((sum, count) => sum + count, 0) : repairs.time.length;
}
