// Sums of use since many points: from the sessions themselves, or from rolled-up days and what is left around them.
import { createHash } from "node:crypto";
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question } from "../../shared/question.ts";
import type { Bounds, RollupState, Window } from "../hours/asked.ts";
import { type Known, makeCover, makeStretches } from "../hours/build.ts";
import { beyond, nearPoints } from "./near.ts";

const pointsQuestion = question(import.meta.url, "./since-points.sql");
const pointsMade = question(import.meta.url, "./points-made.sql");
const sumsQuestion = question(import.meta.url, "./since-sums.sql");
const drawsQuestion = question(import.meta.url, "./since-draws.sql");
const anyDrawn = question(import.meta.url, "./any-drawn.sql");
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
  await makePoints(
    connection,
    points.map(({ point, machine, from }) => ({ point, machine, from: from.toISOString() })),
    { known, asOf, logFrom: bounds.log_from },
  );
  await makeCover(connection, known, state !== null);
  const made = await ask<Made>(connection, pointsMade);
  const sums = new Map(made.map(({ point, days }) => [point, { ...nothing, days, draws: new Map() } satisfies PointSums]));
  const rolled = bounds.days;
  if (state === null || rolled === null) {
    const first = made.reduce((least, { from_at }) => (from_at < least ? from_at : least), bounds.until_sharp);
    await makeStretches(connection, [{ from: first, until: bounds.until_sharp }], known);
    for (const [point, part] of await partsMade(connection, known.zone, false)) addingPart(sums.get(point)!, part);
    return sums;
  }

  // Whole rolled-up days and what is left of the point's own day change only with the roll-ups; behind them everything may.
  const until = rolled.last;
  const early = made.filter(({ next_day }) => next_day.slice(0, 10) < until);
  const late = made.filter(({ next_day }) => next_day.slice(0, 10) >= until);
  const wantsDays = new Set(points.filter(({ isByUseDays }) => isByUseDays).map(({ point }) => point));
  const rolledParts = await rolledSince(connection, early, wantsDays, until, { known, asOf, logFrom: bounds.log_from });
  for (const [point, part] of rolledParts) addingPart(sums.get(point)!, part);

  // The same for all early points of a machine, so it is asked once for each.
  const machines = [...new Set(early.map(({ machine }) => machine))];
  const tailFrom = late.reduce((least, { from_at }) => (from_at < least ? from_at : least), rolled.until);
  await makePoints(
    connection,
    [
      ...machines.map((machine, i) => ({ point: -1 - i, machine, from: rolled.until })),
      ...late.map(({ point, machine, from_at }) => ({ point, machine, from: from_at })),
    ],
    { known, asOf, logFrom: bounds.log_from },
  );
  await beyond(connection, tailFrom, () => makeStretches(connection, [{ from: tailFrom, until: bounds.until_sharp }], known));
  const tails = await partsMade(connection, known.zone, false);
  for (const { point } of late) addingPart(sums.get(point)!, tails.get(point));
  for (const { point, machine } of early) addingPart(sums.get(point)!, tails.get(-1 - machines.indexOf(machine)));
  return sums;
}

interface Asked {
  known: Known;
  asOf: Date;
  logFrom: string;
}

async function makePoints(
  connection: DuckDBConnection,
  points: readonly { point: number; machine: string; from: string }[],
  { known, asOf, logFrom }: Asked,
): Promise<void> {
  await perform(connection, pointsQuestion, { points: JSON.stringify(points), as_of: asOf, log_from: logFrom, zone: known.zone });
}

interface Part extends Sums {
  draws: Map<Measure, number[]>;
}

function addingPart(onto: PointSums, part: Part | undefined): void {
  if (part === undefined) return;
  for (const name of names) onto[name] += part[name];
  for (const [measure, hours] of part.draws) {
    const known = onto.draws.get(measure);
    onto.draws.set(measure, known ? known.map((figure, world) => figure + hours[world]!) : hours);
  }
}

/** What hours_stretch holds for the points of service_point, by point. */
async function partsMade(connection: DuckDBConnection, zone: string, within: boolean): Promise<Map<number, Part>> {
  const parts = new Map<number, Part>();
  for (const { point, ...row } of await ask<Sums & { point: number }>(connection, sumsQuestion, { zone, within })) {
    parts.set(point, { ...row, draws: new Map() });
  }
  const [some] = await ask<{ drawn: boolean }>(connection, anyDrawn);
  if (!some!.drawn) return parts;
  for (const row of await ask<Drawn>(connection, drawsQuestion, { within })) {
    parts.get(row.point)?.draws.set(row.measure, listOf(row.hours));
  }
  return parts;
}

// What was worked out from one state of the roll-ups, by point; of the last states asked for.
const remembered = new Map<string, Map<string, Part>>();
const MOST_STATES = 4;

/** Use in rolled-up days since each point, the rest of its own day included. */
async function rolledSince(
  connection: DuckDBConnection,
  points: readonly Made[],
  wantsDays: ReadonlySet<number>,
  until: string,
  asked: Asked,
): Promise<Map<number, Part>> {
  const bins = await ask<{ bin: number; mark: string }>(connection, binsQuestion);
  const state = createHash("sha256")
    .update(JSON.stringify([until, bins]))
    .digest("hex");
  const known = remembered.get(state) ?? new Map<string, Part>();
  remembered.delete(state);
  remembered.set(state, known);
  if (remembered.size > MOST_STATES) remembered.delete(remembered.keys().next().value!);
  const keyOf = ({ point, machine, from_at }: Made): string => `${from_at} ${wantsDays.has(point)} ${machine}`;
  const missing = points.filter((made) => !known.has(keyOf(made)));
  if (missing.length > 0) {
    await makePoints(
      connection,
      missing.map(({ point, machine, from_at }) => ({ point, machine, from: from_at })),
      asked,
    );
    const sums = new Map(missing.map(({ point }) => [point, { ...nothing, days: 0, draws: new Map() } as PointSums]));
    for (const { point, ...row } of await ask<Omit<Sums, "useDays"> & { point: number }>(connection, rolledSums, { until })) {
      addingPart(sums.get(point)!, { ...nothing, ...row, draws: new Map() });
    }
    const counted = missing.filter(({ point }) => wantsDays.has(point)).map(({ point }) => point);
    if (counted.length > 0) {
      const listed = { until, points: JSON.stringify(counted) };
      for (const { point, useDays } of await ask<{ point: number; useDays: number }>(connection, rolledDays, listed)) {
        sums.get(point)!.useDays += useDays;
      }
    }
    for (const row of await ask<Drawn>(connection, rolledDraws, { until })) {
      sums.get(row.point)!.draws.set(row.measure, listOf(row.hours));
    }
    await nearPoints(connection, () => makeStretches(connection, windowsByDay(missing), asked.known));
    for (const [point, part] of await partsMade(connection, asked.known.zone, true)) addingPart(sums.get(point)!, part);
    for (const made of missing) known.set(keyOf(made), sums.get(made.point)!);
  }
  return new Map(points.map((made) => [made.point, known.get(keyOf(made))!]));
}

const listOf = (hours: Drawn["hours"]): number[] => (Array.isArray(hours) ? hours : hours.items);

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
