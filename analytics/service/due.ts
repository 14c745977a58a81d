// What is due: each task with what is used of its interval, and the dates on which it is expected to be used up. How machines will
// be used is the forecast's word; this holds it against what is left.
import type { DuckDBConnection } from "@duckdb/node-api";
import normalQuantileOf from "@stdlib/stats-base-dists-normal-quantile";
import { isInsufficient, type Range } from "../../shared/errors.ts";
import { isoFromDate } from "../../shared/relation.ts";
import { dayAfter } from "../../shared/times.ts";
import { localDays } from "../forecast/local-days.ts";
import { type ForecastBasis, type FutureUse, futureUse } from "../forecast/rate.ts";
import type { MaybeRange } from "../hours/asked.ts";
import { figureOf, NORMAL_90 } from "./figures.ts";
import type { UseBasis } from "./tasks.ts";
import { type ReadingState, type UsedBy, type UsedTask, usedSoFar } from "./used.ts";

/** Local days; null where they lie beyond the reach of the forecast, or nobody can tell. */
export interface DueDates {
  early: string | null;
  median: string | null;
  late: string | null;
}

export interface DueBy {
  used: MaybeRange;
  interval: number;
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

const byName = {
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
  { asOf, zone, seed }: { asOf: Date; zone: string; seed: number },
): Promise<{ asOf: string; tasks: DueTask[] }> {
  const { tasks, use } = await usedSoFar(connection, { asOf, zone });
  const instants = new Set<string>([asOf.toISOString()]);
  for (const { task, count, found, reading } of tasks) {
    instants.add(use.knownFrom(task.machine).toISOString());
    for (const at of [count.from, count.until, found?.record.doneAt, found?.record.doneUntil])
      if (at) instants.add(at.toISOString());
    if (reading?.lastAt) instants.add(reading.lastAt);
  }
  const dayOf = await localDays(connection, zone, [...instants]);
  const today = dayOf(asOf.toISOString());
  const firsts = tasks.map(({ task }) => dayOf(use.knownFrom(task.machine).toISOString()));
  const logFrom = firsts.reduce((a, b) => (a < b ? a : b), today);
  const future = await futureUse(connection, { asOf, zone, today, logFrom, seed });
  const day = (at: Date): string => dayOf(at.toISOString());
  return {
    asOf: isoFromDate(asOf),
    tasks: tasks.map((used, i) => dueTask(used, future, day, seed + i)),
  };
}

function dueTask(used: UsedTask, future: FutureUse, dayOf: (at: Date) => string, salt: number): DueTask {
  const { task, count, found, reading } = used;
  const by = used.by.map((one) => ({ one, ahead: aheadBy(task.machine, one, future, salt) }));
  const readingAhead = reading === null ? null : aheadByReading(used, reading, future, dayOf, salt);
  const dated = by.map(({ one, ahead }) => ({ ...one, ahead, due: ahead === null ? null : datesFrom(ahead, future) }));
  const row = Object.fromEntries(Object.values(byName).map((name) => [name, null])) as Record<
    (typeof byName)[UseBasis],
    DueBy | null
  >;
  for (const { basis, used: soFar, interval, due } of dated) row[byName[basis]] = { used: soFar, interval, due };

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
    ahead === null ? Number.POSITIVE_INFINITY : quantile(ahead, 0.5),
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
  if (median !== null && median <= dayAfter(today, NOW_DAYS)) return "now";
  if (early !== null && early <= dayAfter(today, Math.max(Math.ceil(task.leadDays ?? 0), SOON_DAYS))) return "soon";
  const hasNoDate = candidates.every(({ ahead }) => ahead === null);
  if (hasNoDate && candidates.some(({ used, interval }) => used.high !== null && used.high >= interval)) return "soon";
  return "later";
}

/** Days ahead until a basis is used up, world by world; null where nobody can tell. */
function aheadBy(machine: string, { basis, used, interval }: UsedBy, future: FutureUse, salt: number): Worlds | null {
  const { low, best, high } = used;
  if (low === null || best === null || high === null) return null;
  const soFar = drawsOf({ low, best, high }, future.worlds, salt);
  if (basis === "days") return soFar.map((days) => Math.round(interval - days));
  const left = soFar.map((figure) => interval - figure);
  const ahead = left.some((figure) => figure > 0) ? future.daysUntil(machine, basis, left) : left.map(() => 0);
  if (ahead === null)
    return best >= interval
      ? left.map((figure) => (figure > 0 ? Number.POSITIVE_INFINITY : daysAgo(machine, basis, -figure, future)))
      : null;
  return ahead.map((days, world) => (left[world]! > 0 ? days : daysAgo(machine, basis, -left[world]!, future)));
}

/** How many days ago use since then came to `excess`, as a negative number; not beyond the log's first day. */
function daysAgo(machine: string, basis: ForecastBasis, excess: number, future: FutureUse): number {
  let sum = 0;
  for (let ago = 0; ; ago++) {
    const day = dayAfter(future.today, -ago);
    if (day < future.firstDay) return -ago;
    sum += future.usedOn(machine, basis, day);
    if (sum > excess) return -ago;
  }
}

function aheadByReading(
  { count, task }: UsedTask,
  reading: ReadingState,
  future: FutureUse,
  dayOf: (at: Date) => string,
  salt: number,
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
  return drawsOf(ends, future.worlds, salt).map((days) => (days > reach ? Number.POSITIVE_INFINITY : Math.round(days)));
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
  const at = (share: number): string | null => {
    if (ahead.length === 0) return null;
    const days = quantile(ahead, share);
    return Number.isFinite(days) ? dayAfter(today, days) : null;
  };
  return { early: at(0.1), median: at(0.5), late: at(0.9) };
}

const foundDates = (day: string): DueDates => ({ early: day, median: day, late: day });

/** A point of the sorted worlds, no average of two: dates beyond the reach can't be averaged. */
function quantile(worlds: Worlds, share: number): number {
  const sorted = [...worlds].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]!;
}

/** Draws of a figure, one for each world, from two half normals with its 10 and 90 % points; in an order of their own. */
function drawsOf(range: Range, worlds: number, salt: number): number[] {
  const { best, below, above } = figureOf(range);
  const step = stepCoprime(worlds, salt);
  return Array.from({ length: worlds }, (_, world) => {
    const place = ((world * step + salt) % worlds) + 0.5;
    const z = normalQuantile(place / worlds) / NORMAL_90;
    return best + (z < 0 ? z * below : z * above);
  });
}

function stepCoprime(worlds: number, salt: number): number {
  const gcd = (a: number, b: number): number => (b === 0 ? a : gcd(b, a % b));
  let step = 7 + 2 * (salt % 40);
  while (gcd(step, worlds) !== 1) step += 1;
  return step;
}

const normalQuantile = (share: number): number => normalQuantileOf(share, 0, 1);
