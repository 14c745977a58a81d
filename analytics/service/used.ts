// Used so far: how much of each task's interval is gone since it was last done, in its own units, with the range of what is known.
import type { DuckDBConnection } from "@duckdb/node-api";
import { type Insufficient, isInsufficient } from "../../shared/errors.ts";
import { inTurn, type MaybeRange } from "../hours/asked.ts";
import { cautionsFor } from "./cautions.ts";
import { type Count, countOf, type Found, foundAtInspection, limitsNow, type Stint } from "./counts.ts";
import { between, exactly, type Figure, figureOf, less, plus, rangeOfFigure } from "./figures.ts";
import { readingTrend } from "./readings.ts";
import { type RunUsed, runUsed } from "./run-used.ts";
import { type Point, type Use, type UseAsked, type UseSince, useSince } from "./since.ts";
import { loadRecords, loadTasks, partKeyOf, type ServiceRecord, type Task, type UseBasis } from "./tasks.ts";

export interface UsedBy {
  basis: UseBasis;
  /** Nulls where nobody knows: a count that never began has a low end at most. */
  used: MaybeRange;
  interval: number;
  /** Whether the interval is the early first one. */
  isFirst: boolean;
}

export interface ReadingState {
  name: string;
  unit: string | null;
  limit: number;
  due: "above" | "below";
  /** The last value since the task was done; null where there is none. */
  last: number | null;
  lastAt: string | null;
  readings: number;
  isBeyond: boolean;
  /** Days after the task was done at which the limit is reached, by the trend of the readings since. */
  limitAfterDays: MaybeRange | Insufficient;
}

export interface UsedTask {
  task: Task;
  count: Count;
  by: UsedBy[];
  /** What the run-hours of `by` are made of; null where nobody knows them, or the machine is known by its meter alone. */
  run: RunUsed | null;
  reading: ReadingState | null;
  /** Found worn, failed or damaged when somebody looked, and this task would put it right. */
  found: Found | null;
  /** The task was done as often as it may be: next time the part is replaced. */
  isExhausted: boolean;
  /** Nobody knows how much is used, by any basis. */
  isUnknown: boolean;
  notes: string[];
  cautions: string[];
}

/** Every task of the workshop file with what is used up of it, in the file's order; what was not known at `asOf` doesn't count. */
export async function usedSoFar(
  connection: DuckDBConnection,
  { asOf, zone, rollups }: UseAsked,
): Promise<{ tasks: UsedTask[]; use: UseSince }> {
  const { tasks, records } = await inTurn(connection, async () => ({
    tasks: await loadTasks(connection),
    records: await loadRecords(connection, asOf),
  }));
  const byPart = groupedBy(tasks, partKeyOf);
  const recordsByPart = groupedBy(records, partKeyOf);
  const counted = tasks.map((task) => {
    const siblings = byPart.get(partKeyOf(task)) ?? [];
    const own = recordsByPart.get(partKeyOf(task)) ?? [];
    return { task, siblings, records: own, count: countOf(task, siblings, own) };
  });
  const points = counted.flatMap(({ task, count }): Point[] => {
    const isByUseDays = task.limits.some(({ basis }) => basis === "use-days");
    const instants = [asOf, count.from, count.until, ...count.earlier.flatMap(({ from, until }) => [from, until])];
    return instants.flatMap((from) => (from === null ? [] : [{ machine: task.machine, from, isByUseDays }]));
  });
  const use = await useSince(connection, { asOf, zone, rollups }, points);
  return {
    use,
    tasks: counted.map(({ task, siblings, records: own, count }): UsedTask => {
      const by = limitsNow(task, count).map(({ basis, interval, isFirst }) => ({
        basis,
        used: usedBy(task, count, basis, use),
        interval,
        isFirst,
      }));
      const found = foundAtInspection(siblings, own);
      const reading = readingOf(task, count, own, asOf);
      const isExhausted = task.atMost !== null && count.timesDone >= task.atMost;
      const isUnknown = by.every(({ used }) => used.best === null) && (reading === null || reading.last === null);
      const isMine = found?.remedy === task.task ? found : null;
      return {
        task,
        count,
        by,
        run: runUsed(task.machine, count, use),
        reading,
        found: isMine,
        isExhausted,
        isUnknown,
        notes: notesOf(task, count, use, isMine, isExhausted, isUnknown),
        cautions: cautionsFor(task),
      };
    }),
  };
}

function groupedBy<T>(items: readonly T[], keyOf: (item: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const item of items) {
    const key = keyOf(item);
    groups.set(key, [...(groups.get(key) ?? []), item]);
  }
  return groups;
}

const nothingKnown: MaybeRange = { low: null, best: null, high: null };

/** What is used of a task by one basis; pure on the use of its machine. */
export function usedBy({ machine }: Pick<Task, "machine">, count: Count, basis: UseBasis, use: UseSince): MaybeRange {
  if (count.from === null || count.until === null) {
    const since = use.sinceStart(machine)[basis];
    if (since === undefined) return nothingKnown;
    if (count.begins === "start" && count.before?.basis === basis) {
      return rangeOfFigure(plus(figureOf(count.before.used), since));
    }
    return { low: Math.max(0, since.best - since.below), best: null, high: null };
  }
  const figure = figureSince(machine, { from: count.from, until: count.until }, basis, use);
  if (figure === undefined) return nothingKnown;
  const earlier = count.earlier.map((stint) => stintFigure(machine, stint, basis, use) ?? exactly(0));
  return rangeOfFigure(earlier.reduce(plus, figure));
}

function figureSince(machine: string, span: { from: Date; until: Date }, basis: UseBasis, use: UseSince): Figure | undefined {
  const since = use.since(machine, span.from)[basis];
  if (since === undefined || span.from.getTime() === span.until.getTime()) return since;
  return between(since, use.since(machine, span.until)[basis] ?? exactly(0));
}

function stintFigure(machine: string, { from, until }: Stint, basis: UseBasis, use: UseSince): Figure | undefined {
  const of = (at: Date): Use => use.since(machine, at);
  const begun = of(from)[basis];
  return begun === undefined || until === null ? begun : less(begun, of(until)[basis] ?? exactly(0));
}

/** Readings since the task was done; those taken with it tell of the time before. */
function readingOf(task: Task, count: Count, records: readonly ServiceRecord[], asOf: Date): ReadingState | null {
  if (task.reading === null) return null;
  const { name, unit, limit, due } = task.reading;
  const begins = count.until ?? new Date(0);
  const points = records
    .filter((record) => record.readings[name] !== undefined && record !== count.record)
    .map((record) => ({ at: record.doneUntil ?? record.doneAt, value: record.readings[name]! }))
    .filter(({ at }) => at > begins && at <= asOf)
    .sort((a, b) => a.at.getTime() - b.at.getTime());
  const last = points.at(-1) ?? null;
  const trend = readingTrend(
    points.map(({ at, value }) => ({ x: (at.getTime() - begins.getTime()) / 86_400_000, y: value })),
    limit,
    due,
  );
  return {
    name,
    unit,
    limit,
    due,
    last: last?.value ?? null,
    lastAt: last === null ? null : last.at.toISOString(),
    readings: points.length,
    isBeyond: last !== null && (due === "above" ? last.value >= limit : last.value <= limit),
    limitAfterDays: isInsufficient(trend) ? trend : trend.limitAt,
  };
}

function notesOf(
  task: Task,
  count: Count,
  use: UseSince,
  found: Found | null,
  isExhausted: boolean,
  isUnknown: boolean,
): string[] {
  const notes: string[] = [];
  if (found !== null) {
    const { record } = found;
    notes.push(
      `found ${record.found} at ${record.task} of ${day(record.doneUntil ?? record.doneAt)}: now, whatever the hours say`,
    );
  }
  if (isExhausted)
    notes.push(`done ${count.timesDone} of at most ${task.atMost} times since the part was new: replace it next time`);
  if (isUnknown) notes.push("nobody has said when this was last done; about when was it?");
  else if (count.begins === "start") notes.push("counted from the use that the workshop file gives for the beginning of the log");
  else if (count.from !== null && count.from < use.knownFrom(task.machine) && task.limits.some(({ basis }) => basis !== "days"))
    notes.push(
      `begun on ${day(count.from)}, before the log does: the time until then is taken at the log's own pace, between two thirds of it and half as much again`,
    );
  if (task.source === null) notes.push("the interval is common practice, not the maker's word: the user's manual wins");
  return notes;
}

const day = (at: Date): string => at.toISOString().slice(0, 10);
