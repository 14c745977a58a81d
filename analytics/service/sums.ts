// Sums of use since many points: from the sessions themselves, or from rolled-up days and what is left around them.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question } from "../../shared/question.ts";
import type { Bounds, RollupState, Window } from "../hours/asked.ts";
import { type Known, makeCover, makeStretches } from "../hours/build.ts";

const pointsQuestion = question(import.meta.url, "./since-points.sql");
const pointsMade = question(import.meta.url, "./points-made.sql");
const sumsQuestion = question(import.meta.url, "./since-sums.sql");
const drawsQuestion = question(import.meta.url, "./since-draws.sql");
const rolledSums = question(import.meta.url, "./rolled-sums.sql");
const rolledDays = question(import.meta.url, "./rolled-days.sql");
const rolledDraws = question(import.meta.url, "./rolled-draws.sql");
const binsQuestion = question(import.meta.url, "./bins.sql");

export type Measure = "enabled" | "motor" | "factored" | "load";

export interface Sums {
  sessions: number;
  starts: number;
  useDays: number;
  enabledHours: number;
  motorHours: number;
  factoredHours: number;
  loadHours: number;
}

export interface PointSums extends Sums {
  /** Local days from the point's to that of the as-of time. */
  days: number;
  /** What unseen ends add, one figure for each joint world. */
  draws: Map<Measure, number[]>;
}

interface Made {
  point: number;
  machine: string;
  from_at: string;
  next_at: string;
  days: number;
  next_day: string;
}

type Drawn = { point: number; measure: Measure; hours: { items: number[] } | number[] };

const nothing: Sums = { sessions: 0, starts: 0, useDays: 0, enabledHours: 0, motorHours: 0, factoredHours: 0, loadHours: 0 };
const names = Object.keys(nothing) as (keyof Sums)[];

function adding(onto: PointSums, more: Partial<Sums>): void {
  for (const name of names) onto[name] += more[name] ?? 0;
}
function addingDraws(onto: PointSums, measure: Measure, hours: readonly number[]): void {
  const known = onto.draws.get(measure);
  onto.draws.set(measure, known ? known.map((figure, world) => figure + hours[world]!) : [...hours]);
}

export interface Wanted {
  point: number;
  machine: string;
  from: Date;
  /** Whether days of use are wanted; else they are not counted everywhere. */
  isByUseDays: boolean;
}

/** Sums by number of the point. `state` null: from the sessions alone. hours_cover is made here. */
export async function sumsSince(
  connection: DuckDBConnection,
  points: readonly Wanted[],
  { known, state, bounds, asOf }: { known: Known; state: RollupState | null; bounds: Bounds; asOf: Date },
): Promise<Map<number, PointSums>> {
  await perform(connection, pointsQuestion, {
    points: JSON.stringify(points.map(({ point, machine, from }) => ({ point, machine, from: from.toISOString() }))),
    as_of: asOf,
    log_from: bounds.log_from,
    zone: known.zone,
  });
  await makeCover(connection, known, state !== null);
  const made = await ask<Made>(connection, pointsMade);
  const sums = new Map(made.map(({ point, days }) => [point, { ...nothing, days, draws: new Map() } satisfies PointSums]));
  const add = async (within: boolean): Promise<void> => {
    for (const { point, ...row } of await ask<Sums & { point: number }>(connection, sumsQuestion, { zone: known.zone, within })) {
      adding(sums.get(point)!, row);
    }
    for (const row of await ask<Drawn>(connection, drawsQuestion, { within })) {
      addingDraws(sums.get(row.point)!, row.measure, listOf(row.hours));
    }
  };
  const rolled = bounds.days;
  if (state === null || rolled === null) {
    const first = made.reduce((least, { from_at }) => (from_at < least ? from_at : least), bounds.until_sharp);
    await makeStretches(connection, [{ from: first, until: bounds.until_sharp }], known);
    await add(false);
    return sums;
  }

  const until = rolled.last;
  for (const { point, ...row } of await ask<Omit<Sums, "useDays"> & { point: number }>(connection, rolledSums, { until })) {
    adding(sums.get(point)!, row);
  }
  const byUseDays = points.filter(({ isByUseDays }) => isByUseDays).map(({ point }) => point);
  if (byUseDays.length > 0) {
    const counted = { until, points: JSON.stringify(byUseDays) };
    for (const { point, useDays } of await ask<{ point: number; useDays: number }>(connection, rolledDays, counted)) {
      adding(sums.get(point)!, { useDays });
    }
  }
  for (const row of await ask<Drawn>(connection, rolledDraws, { until })) {
    addingDraws(sums.get(row.point)!, row.measure, listOf(row.hours));
  }
  // What is left of the point's own day, where whole days follow it; behind the last rolled-up day everything.
  const early = made.filter(({ next_day }) => next_day.slice(0, 10) < until);
  const partial = await partialDays(connection, early, known);
  for (const { point, machine, from_at } of early) {
    const part = partial.get(partialKey(machine, from_at));
    if (part === undefined) continue;
    adding(sums.get(point)!, part);
    for (const [measure, hours] of part.draws) addingDraws(sums.get(point)!, measure, hours);
  }
  const late = made.filter(({ next_day }) => next_day.slice(0, 10) >= until);
  const tailFrom = late.reduce((least, { from_at }) => (from_at < least ? from_at : least), rolled.until);
  const earlyPoints = early.map(({ point, machine }) => ({ point, machine, from: rolled.until }));
  const latePoints = late.map(({ point, machine, from_at }) => ({ point, machine, from: from_at }));
  await perform(connection, pointsQuestion, {
    points: JSON.stringify([...earlyPoints, ...latePoints]),
    as_of: asOf,
    log_from: bounds.log_from,
    zone: known.zone,
  });
  await makeStretches(connection, [{ from: tailFrom, until: bounds.until_sharp }], known);
  await add(false);
  return sums;
}

const listOf = (hours: Drawn["hours"]): number[] => (Array.isArray(hours) ? hours : hours.items);

interface PartDay extends Sums {
  draws: Map<Measure, number[]>;
}

const partialKey = (machine: string, from: string): string => `${from} ${machine}`;

// A day that is past and rolled up changes only with what its stretch of thirty days, or the one before, was made from.
const remembered = new Map<string, PartDay>();
const MOST_REMEMBERED = 20_000;
const BIN_MS = 30 * 86_400_000;

/** What is left of each point's own local day. */
async function partialDays(connection: DuckDBConnection, points: readonly Made[], known: Known): Promise<Map<string, PartDay>> {
  const marks = new Map((await ask<{ bin: number; mark: string }>(connection, binsQuestion)).map(({ bin, mark }) => [bin, mark]));
  const answer = new Map<string, PartDay>();
  const missing: Made[] = [];
  const rememberedKey = ({ machine, from_at }: Made): string => {
    const bin = Math.floor(instantMs(from_at) / BIN_MS);
    return [marks.get(bin - 1), marks.get(bin), marks.get(bin + 1), from_at, machine].join(" ");
  };
  for (const made of points) {
    if (made.from_at === made.next_at) continue;
    const part = remembered.get(rememberedKey(made));
    if (part) answer.set(partialKey(made.machine, made.from_at), part);
    else missing.push(made);
  }
  if (missing.length === 0) return answer;
  await makeStretches(connection, windowsByDay(missing), known);
  const byPoint = new Map(missing.map((made) => [made.point, { made, part: { ...nothing, draws: new Map() } as PartDay }]));
  for (const { point, ...row } of await ask<Sums & { point: number }>(connection, sumsQuestion, {
    zone: known.zone,
    within: true,
  })) {
    const found = byPoint.get(point);
    if (found) Object.assign(found.part, row);
  }
  for (const row of await ask<Drawn>(connection, drawsQuestion, { within: true })) {
    byPoint.get(row.point)?.part.draws.set(row.measure, listOf(row.hours));
  }
  for (const { made, part } of byPoint.values()) {
    answer.set(partialKey(made.machine, made.from_at), part);
    if (remembered.size >= MOST_REMEMBERED) remembered.delete(remembered.keys().next().value!);
    remembered.set(rememberedKey(made), part);
  }
  return answer;
}

/** One window for each local day, from the earliest point in it; windows never overlap. */
function windowsByDay(points: readonly Made[]): Window[] {
  const days = new Map<string, Window>();
  for (const { from_at, next_at } of points) {
    const day = days.get(next_at);
    if (day === undefined || from_at < day.from) days.set(next_at, { from: from_at, until: next_at });
  }
  return [...days.values()].sort((a, b) => (a.from < b.from ? -1 : 1));
}

/** DuckDB's own text of an instant (2025-03-01 09:00:00+00), in milliseconds since 1970. */
export const instantMs = (text: string): number => Date.parse(text.replace(" ", "T").replace(/([+-]\d\d)$/, "$1:00"));
