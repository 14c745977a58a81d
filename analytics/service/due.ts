// What is due: each task with what is used of its interval, and the dates on which it is expected to be used up. How machines will
// be used is the forecast's word; this holds it against what is left, world by world.
import type { DuckDBConnection } from "@duckdb/node-api";
import { isInsufficient, type Range } from "../../shared/errors.ts";
import { isoFromDate } from "../../shared/relation.ts";
import { type FutureUse, futureUse } from "../forecast/future.ts";
import { localDays } from "../forecast/local-days.ts";
import { dateAhead, inOrder, windowOf } from "../forecast/window.ts";
import { normals } from "../forecast/worlds.ts";
import type { MaybeRange } from "../hours/asked.ts";
import { type Figure, figureOf, meanOfFactor, NORMAL_90 } from "./figures.ts";
import type { RunUsed } from "./run-used.ts";
import type { UseBasis } from "./tasks.ts";
import { type ReadingState, type UsedBy, type UsedTask, usedSoFar } from "./used.ts";

/** Local days; null where they lie beyond the reach of the forecast, or nobody can tell. */
export interface DueDates {
  early: string | null;
  median: string | null;
  late: string | null;
}

/**
 * Limits learned from the machine's own lives, one for each world, in its own hours: those of `used`, at its mean run factor.
 * Past and future are then counted alike, and no run factor moves the date. Null: the typed interval holds.
 */
export type LimitDraws = (machine: string, part: string, task: string) => ArrayLike<number> | null;

export interface DueAsked {
  asOf: Date;
  /** IANA name of the workshop's time zone. */
  zone: string;
  seed: number;
  limitDraws?: LimitDraws | undefined;
}

export interface DueBy {
  used: MaybeRange;
  /** Where somebody decided otherwise, what was decided, or the middle of when it is likely to be needed. */
  interval: number;
  /** As the workshop file has it. */
  typedInterval: number;
  due: DueDates | null;
}

export type DueState = "overdue" | "now" | "soon" | "later" | "unknown";

export interface DueTask {
  machine: string;
  part: string;
  task: string;
  machineName: string;
  partName: string;
  taskName: string;
  basis: UseBasis | "reading" | null;
  used: MaybeRange | null;
  interval: number | null;
  state: DueState;
  due: DueDates;
  /** The window as twenty dates, each one chance in twenty; null beyond the reach. Empty where nobody can tell. */
  dots: (string | null)[];
  byHours: DueBy | null;
  byLoadHours: DueBy | null;
  byStarts: DueBy | null;
  byDays: DueBy | null;
  byUseDays: DueBy | null;
  byCycles: DueBy | null;
  reading: (Omit<ReadingState, "due"> & { side: "above" | "below"; due: DueDates | null }) | null;
  begins: "record" | "fitted" | "start" | "unknown";
  lastDone: string | null;
  lastDoneUntil: string | null;
  timesDone: number;
  atMost: number | null;
  isFirst: boolean;
  leadDays: number | null;
  notes: string[];
  cautions: string[];
}

export const byName = {
  hours: "byHours",
  "load-hours": "byLoadHours",
  starts: "byStarts",
  days: "byDays",
  "use-days": "byUseDays",
  cycles: "byCycles",
} as const satisfies Record<UseBasis, keyof DueTask>;

const nowhere: DueDates = { early: null, median: null, late: null };
const NOW_DAYS = 7;
const SOON_DAYS = 14;
/** How far by a straight line of readings one may look ahead: six times the time they span is too far already. */
const READING_REACH = 6;

/** Days ahead of today in each world (negative: days ago), infinite beyond the reach. */
type Worlds = readonly number[];

export async function dueTasks(
  connection: DuckDBConnection,
  { asOf, zone, seed, limitDraws }: DueAsked,
): Promise<{ asOf: string; tasks: DueTask[] }> {
  const { tasks, use } = await usedSoFar(connection, { asOf, zone });
  const instants = new Set<string>([asOf.toISOString()]);
  for (const { count, found, reading } of tasks) {
    for (const at of [count.from, count.until, found?.record.doneAt, found?.record.doneUntil])
      if (at) instants.add(at.toISOString());
    if (reading?.lastAt) instants.add(reading.lastAt);
  }
  const dayOf = await localDays(connection, zone, [...instants]);
  const future = await futureUse(connection, { asOf, zone, seed, moment: use.moment });
  const day = (at: Date): string => dayOf(at.toISOString());
  return {
    asOf: isoFromDate(asOf),
    tasks: tasks.map((used) => dueTask(used, future, day, seed, limitDraws)),
  };
}

function dueTask(
  used: UsedTask,
  future: FutureUse,
  dayOf: (at: Date) => string,
  seed: number,
  limitDraws: LimitDraws | undefined,
): DueTask {
  const { task, count, found, reading } = used;
  const name = `${task.machine} ${task.part} ${task.task}`;
  const learned = limitDraws?.(task.machine, task.part, task.task) ?? null;
  // What was decided is in the part's own unit, that of the first limit; an early first interval stays as it is.
  const by = used.by.map((typed, i) => {
    const limits = i === 0 && !typed.isFirst ? learned : null;
    const one = limits === null ? typed : { ...typed, interval: inOrder(Array.from(limits))[limits.length >> 1]! };
    const chance = (what: string) => normals(future.worlds, `${what} ${name}`, seed);
    return { one, typedInterval: typed.interval, ahead: aheadBy(used, one, limits, future, chance) };
  });
  const readingAhead =
    reading === null ? null : aheadByReading(used, reading, future, dayOf, normals(future.worlds, `reading ${name}`, seed));
  const dated = by.map(({ one, typedInterval, ahead }) => ({
    ...one,
    typedInterval,
    ahead,
    due: ahead === null ? null : datesFrom(ahead, future),
  }));
  const row = Object.fromEntries(Object.values(byName).map((name) => [name, null])) as Record<
    (typeof byName)[UseBasis],
    DueBy | null
  >;
  for (const { basis, used: soFar, interval, typedInterval, due } of dated)
    row[byName[basis]] = { used: soFar, interval, typedInterval, due };

  const candidates: Candidate[] = [
    ...dated.map(({ basis, used: soFar, interval, ahead }) => ({
      basis,
      used: soFar,
      interval,
      ahead,
      share: shareOf(soFar, interval),
    })),
    ...(reading === null ? [] : [readingCandidate(reading, readingAhead)]),
  ];
  const first = firstOf(candidates);
  const overdue = candidates.some(({ share }) => share !== null && share >= 1);
  const together = candidates.flatMap(({ ahead }) => (ahead === null ? [] : [ahead]));
  const due = found ? foundDates(dayOf(found.record.doneUntil ?? found.record.doneAt)) : datesFrom(soonest(together), future);
  const state = stateOf(used, overdue, due, candidates, future.today);
  return {
    machine: task.machine,
    part: task.part,
    task: task.task,
    machineName: task.machineName,
    partName: task.partName,
    taskName: task.taskName,
    basis: first?.basis ?? null,
    used: first?.used ?? null,
    interval: first?.interval ?? null,
    state,
    due: state === "unknown" ? nowhere : due,
    dots: state === "unknown" ? [] : found ? DOTS.map(() => due.median) : dotsFrom(soonest(together), future),
    ...row,
    reading:
      reading === null
        ? null
        : { ...reading, side: reading.due, due: readingAhead === null ? null : datesFrom(readingAhead, future) },
    begins: count.begins,
    lastDone: count.lastDone === null ? null : isoFromDate(count.lastDone.doneAt),
    lastDoneUntil: count.lastDone?.doneUntil ? isoFromDate(count.lastDone.doneUntil) : null,
    timesDone: count.timesDone,
    atMost: task.atMost,
    isFirst: used.by.some(({ isFirst }) => isFirst),
    leadDays: task.leadDays,
    notes: used.notes,
    cautions: used.cautions,
  };
}

interface Candidate {
  basis: UseBasis | "reading";
  used: MaybeRange;
  interval: number;
  ahead: Worlds | null;
  /** Of the interval; null where it is not known. */
  share: number | null;
}

const shareOf = ({ best }: MaybeRange, interval: number): number | null => (best === null ? null : best / interval);

function readingCandidate(reading: ReadingState, ahead: Worlds | null): Candidate {
  const { last, limit, isBeyond } = reading;
  const near = last === null ? null : isBeyond ? 1 : Math.min(0.999, reading.due === "above" ? last / limit : limit / last);
  return {
    basis: "reading",
    used: { low: last, best: last, high: last },
    interval: limit,
    ahead,
    share: near === null || Number.isNaN(near) ? null : near,
  };
}

/** The basis that is expected to be used up first: by its date, else by the share that is gone. */
function firstOf(candidates: readonly Candidate[]): Candidate | null {
  const rank = ({ ahead, share }: Candidate): [number, number] => [
    ahead === null ? Number.POSITIVE_INFINITY : (windowOf(ahead)?.median ?? Number.POSITIVE_INFINITY),
    share === null ? Number.POSITIVE_INFINITY : -share,
  ];
  return candidates.reduce<Candidate | null>((best, candidate) => {
    if (best === null) return candidate;
    const [a, b] = [rank(candidate), rank(best)];
    return a[0] < b[0] || (a[0] === b[0] && a[1] < b[1]) ? candidate : best;
  }, null);
}

function stateOf(
  { isUnknown, found, task }: UsedTask,
  isOverdue: boolean,
  { early, median }: DueDates,
  candidates: readonly Candidate[],
  today: string,
): DueState {
  if (isOverdue) return "overdue";
  if (found) return "now";
  if (isUnknown) return "unknown";
  if (median !== null && median <= dateAhead(today, NOW_DAYS)) return "now";
  if (early !== null && early <= dateAhead(today, Math.max(Math.ceil(task.leadDays ?? 0), SOON_DAYS))) return "soon";
  const hasNoDate = candidates.every(({ ahead }) => ahead === null);
  if (hasNoDate && candidates.some(({ used, interval }) => used.high !== null && used.high >= interval)) return "soon";
  return "later";
}

/** Days ahead until a basis is used up, world by world; null where nobody can tell. */
function aheadBy(
  { task: { machine }, run }: UsedTask,
  { basis, used, interval }: UsedBy,
  learned: ArrayLike<number> | null,
  future: FutureUse,
  chance: (what: string) => Float64Array,
): Worlds | null {
  const { low, best, high } = used;
  if (low === null || best === null || high === null) return null;
  const limit = (world: number): number => learned?.[world % learned.length] ?? interval;
  if (basis === "days") {
    return Array.from(drawsOf({ low, best, high }, chance("days")), (days, world) => Math.round(limit(world) - days));
  }
  const left =
    basis === "hours" && run !== null
      ? hoursLeft(run, machine, limit, learned !== null, future, chance)
      : drawsOf({ low, best, high }, chance(basis)).map((figure, world) => limit(world) - figure);
  const isAnyLeft = left.some((figure) => figure > 0);
  const ahead = isAnyLeft ? future.daysUntil(machine, basis, left) : Array.from(left, () => 0);
  if (ahead === null) {
    if (best < interval) return null;
    return Array.from(left, (figure) => (figure > 0 ? Number.POSITIVE_INFINITY : future.daysAgo(machine, basis, -figure)));
  }
  return ahead.map((days, world) => (left[world]! > 0 ? days : future.daysAgo(machine, basis, -left[world]!)));
}

/**
 * What is left in the machine's own hours, world by world: the run factor of a world holds for the past and for the time ahead. A
 * limit that was learned in the machine's own hours is held against them as they are, whatever the factor.
 */
function hoursLeft(
  { typed, motor, factored, factor }: RunUsed,
  machine: string,
  limit: (world: number) => number,
  isLearned: boolean,
  future: FutureUse,
  chance: (what: string) => Float64Array,
): Float64Array {
  const ratios = isLearned ? null : future.factorRatios(machine);
  const share = future.factoredShare(machine);
  const mean = meanOfFactor(factor);
  const before = chance("before");
  const ends = chance("ends");
  const luck = chance("luck");
  const scatter = Math.sqrt((factor?.scatter ?? 0) * Math.max(0, factored.best)) / NORMAL_90;
  return before.map((_, world) => {
    const ratio = ratios?.[world] ?? 1;
    const used =
      at(typed, before[world]!) +
      at(motor, ends[world]!) +
      mean * ratio * at(factored, ends[world]!) +
      (isLearned ? 0 : scatter * luck[world]!);
    // The days ahead are told at the mean factor; in a world with a greater one what is left is gone the sooner.
    return (limit(world) - used) / (1 + share * (ratio - 1));
  });
}

const at = ({ best, below, above }: Figure, z: number): number => Math.max(0, best + ((z < 0 ? below : above) * z) / NORMAL_90);

function aheadByReading(
  { count, task }: UsedTask,
  reading: ReadingState,
  future: FutureUse,
  dayOf: (at: Date) => string,
  chance: Float64Array,
): Worlds | null {
  if (reading.last === null || reading.lastAt === null) return null;
  const lastDay = daysFrom(future.today, dayOf(new Date(reading.lastAt)));
  if (reading.isBeyond) return Array.from({ length: future.worlds }, () => lastDay);
  if (isInsufficient(reading.limitAfterDays)) return null;
  const { low, best, high } = reading.limitAfterDays;
  if (best === null || count.until === null || task.reading === null) return null;
  const begun = daysFrom(future.today, dayOf(count.until));
  const spanned = lastDay - begun;
  const reach = lastDay + READING_REACH * Math.max(1, spanned);
  const ends = { low: begun + (low ?? best), best: begun + best, high: begun + (high ?? best * READING_REACH) };
  return Array.from(drawsOf(ends, chance), (days) => (days > reach ? Number.POSITIVE_INFINITY : Math.round(days)));
}

const daysFrom = (today: string, day: string): number =>
  Math.round((Date.parse(`${day}T00:00:00Z`) - Date.parse(`${today}T00:00:00Z`)) / 86_400_000);

/** Whichever comes first, world by world. */
function soonest(all: readonly Worlds[]): Worlds {
  const [first, ...others] = all;
  if (first === undefined) return [];
  return first.map((days, world) => others.reduce((least, other) => Math.min(least, other[world]!), days));
}

function datesFrom(ahead: Worlds, { today }: FutureUse): DueDates {
  const window = windowOf(ahead);
  const at = (days: number): string | null => (Number.isFinite(days) ? dateAhead(today, days) : null);
  return window === null ? nowhere : { early: at(window.early), median: at(window.median), late: at(window.late) };
}

const DOTS = Array.from({ length: 20 }, (_, i) => (i + 0.5) / 20);
function dotsFrom(ahead: Worlds, { today }: FutureUse): (string | null)[] {
  if (ahead.length === 0) return [];
  const sorted = inOrder(ahead);
  return DOTS.map((share) => {
    const days = sorted[Math.floor(share * sorted.length)]!;
    return Number.isFinite(days) ? dateAhead(today, days) : null;
  });
}

const foundDates = (day: string): DueDates => ({ early: day, median: day, late: day });

/** Draws of a figure, one for each world, from two half normals with its 10 and 90 % points. */
function drawsOf(range: Range, chance: Float64Array): Float64Array {
  const { best, below, above } = figureOf(range);
  return chance.map((z) => best + ((z < 0 ? below : above) * z) / NORMAL_90);
}
