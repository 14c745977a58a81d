// What the log shows of demand: open time by what the units did in it, turns by how they began. One pass of set-based questions;
// everything after it is sums on plain numbers.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question } from "../../shared/question.ts";
import { boundsOf, inTurn, type Span } from "../hours/asked.ts";
import type { Cells } from "./arrivals.ts";
import type { Away, Schedule } from "./queue.ts";

const here = (name: string) => question(import.meta.url, `./${name}.sql`);
const logEnd = here("log-end");
const slices = here("slices");
const turns = here("turns");
const line = here("line");
const starts = here("starts");
const cells = here("cells");
const schedule = here("schedule");
const units = here("units");
const lengths = here("lengths");
const evidence = here("evidence");
const elsewhere = here("elsewhere");
const upkeep = here("upkeep");

/** Minutes: a shorter pause is within a turn; for so long after all units were taken a start may be one of those who waited. */
export const pauseMinutes = 15;
export const handOverMinutes = 15;
/** Minutes before locking up in which nobody begins afresh. */
export const lastStartMinutes = 15;
/** As many turns of a group and month are enough to know how long they are. */
const mostLengths = 200;

export interface Unit {
  machine: string;
  name: string;
  room: string | null;
  away: Away;
}

export interface Length {
  month: number;
  taken: number;
  used: number;
  /** Until the doors close; infinite where nobody locks up. */
  open: number;
}

/** By month: what the log shows of queues. */
export interface Evidence {
  month: number;
  nearTurns: number;
  returns: number;
  handedTurns: number;
  freeTurns: number;
  handedMean: number;
  handedSquare: number;
  freeMean: number;
  freeSquare: number;
}

export interface MeasuredGroup {
  group: string;
  units: Unit[];
  cells: Cells;
  lengths: Length[];
  evidence: Evidence[];
  /** Turns begun on a free unit of another group of the room while this one was taken. */
  elsewhere: { other: string; month: number; turns: number }[];
  upkeep: { records: number; cost: number };
}

export interface Measured {
  from: Date;
  until: Date;
  zone: string;
  /** First local day of every month of the span, YYYY-MM-DD. */
  months: string[];
  groups: MeasuredGroup[];
  schedule: Schedule & { hour: Int32Array; month: Int32Array; spell: Int32Array; openHours: number; locks: boolean };
}

interface CellRow {
  group: string;
  month: Date;
  hour_of_week: number;
  free_seconds: number;
  full_seconds: number;
  window_seconds: number;
  last_seconds: number;
  out_seconds: number;
  free_turns: number;
  handed_turns: number;
  last_turns: number;
  other_turns: number;
}

interface EvidenceRow {
  group: string;
  month: Date;
  near_turns: number;
  returns: number;
  handed_turns: number;
  free_turns: number;
  handed_mean: number;
  handed_square: number;
  free_mean: number;
  free_square: number;
}

interface SliceRow {
  spell: number;
  from_hour: number;
  until_hour: number;
  closes_hour: number;
  month: Date;
  hour_of_week: number;
}

const dayOf = (date: Date): string => date.toISOString().slice(0, 10);

/** The first and last instant that the log tells of; later days are no open and empty ones. Null where it is empty. */
export async function spanOfDemand(connection: DuckDBConnection, span: Span): Promise<{ from: Date; until: Date } | null> {
  const { from_at, until_at } = await boundsOf(connection, span, null);
  const [end] = await ask<{ last_at: Date | null }>(connection, logEnd);
  if (!end?.last_at) return null;
  const from = new Date(from_at.replace(" ", "T").replace(/([+-]\d\d)$/, "$1:00"));
  const until = new Date(until_at.replace(" ", "T").replace(/([+-]\d\d)$/, "$1:00"));
  const clipped = until < end.last_at ? until : end.last_at;
  return from < clipped ? { from, until: clipped } : null;
}

/** Measures the span, or gives null where the log is empty there. The working tables stay on the connection for `weeksOf`. */
export async function measureDemand(connection: DuckDBConnection, span: Span): Promise<Measured | null> {
  return inTurn(connection, () => measured(connection, span));
}

async function measured(connection: DuckDBConnection, span: Span): Promise<Measured | null> {
  const bounds = await spanOfDemand(connection, span);
  if (bounds === null) return null;
  const [from, until] = [bounds.from.toISOString(), bounds.until.toISOString()];
  const { zone } = span;
  await perform(connection, slices, {
    from,
    until,
    last_start_minutes: lastStartMinutes,
    zone,
    extra_weekday: null,
    extra_from: null,
    extra_until: null,
  });
  await perform(connection, turns, { from, until, as_of: span.asOf.toISOString(), zone, pause_minutes: pauseMinutes });
  await perform(connection, line, { from, until, window_minutes: handOverMinutes });
  await perform(connection, starts, { from });
  const cellRows = await ask<CellRow>(connection, cells);
  const [{ locks } = { locks: false }] = await ask<{ locks: boolean }>(connection, here("locks"));
  const sliceRows = await ask<SliceRow>(connection, schedule, { from, locks });
  const unitRows = await ask<{ group: string; machine: string; name: string; room: string | null; away: string }>(
    connection,
    units,
    { from, until },
  );
  const lengthRows = await ask<{
    group: string;
    month: Date;
    taken_hours: number;
    used_hours: number;
    open_hours: number;
  }>(connection, lengths, { most: mostLengths, locks });
  const evidenceRows = await ask<EvidenceRow>(connection, evidence, { pause_minutes: pauseMinutes });
  const elsewhereRows = await ask<{ group: string; other: string; month: Date; turns: number }>(connection, elsewhere);
  const upkeepRows = await ask<{ group: string; records: number; cost: number }>(connection, upkeep, { from, until });

  const months = [...new Set(sliceRows.map(({ month }) => dayOf(month)))].sort();
  const monthOf = new Map(months.map((month, index) => [month, index]));
  const indexOf = (month: Date): number => monthOf.get(dayOf(month))!;
  const groups = [...new Set(unitRows.map(({ group }) => group))];
  const cellsOf = byGroup(cellRows);
  const lengthsOf = byGroup(lengthRows);
  const evidenceOf = byGroup(evidenceRows);
  const elsewhereOf = byGroup(elsewhereRows);
  return {
    ...bounds,
    zone,
    months,
    groups: groups.map((group) => ({
      group,
      units: unitRows
        .filter((row) => row.group === group)
        .map(({ machine, name, room, away }) => ({ machine, name, room, away: awayFrom(away) })),
      cells: cellsFrom(cellsOf(group), months.length, indexOf),
      lengths: lengthsOf(group).map((row) => ({
        month: indexOf(row.month),
        taken: row.taken_hours,
        used: row.used_hours,
        open: row.open_hours,
      })),
      evidence: evidenceOf(group).map((row) => ({
        month: indexOf(row.month),
        nearTurns: row.near_turns,
        returns: row.returns,
        handedTurns: row.handed_turns,
        freeTurns: row.free_turns,
        handedMean: row.handed_mean,
        handedSquare: row.handed_square,
        freeMean: row.free_mean,
        freeSquare: row.free_square,
      })),
      elsewhere: elsewhereOf(group).map(({ other, month, turns: count }) => ({ other, month: indexOf(month), turns: count })),
      upkeep: upkeepRows.find((row) => row.group === group) ?? { records: 0, cost: 0 },
    })),
    schedule: {
      from: Float64Array.from(sliceRows, (row) => row.from_hour),
      until: Float64Array.from(sliceRows, (row) => row.until_hour),
      closes: Float64Array.from(sliceRows, (row) => row.closes_hour),
      hour: Int32Array.from(sliceRows, (row) => row.hour_of_week),
      month: Int32Array.from(sliceRows, (row) => indexOf(row.month)),
      spell: Int32Array.from(sliceRows, (row) => row.spell),
      openHours: sliceRows.reduce((sum, row) => sum + row.until_hour - row.from_hour, 0),
      locks,
    },
  };
}

function byGroup<Row extends { group: string }>(rows: readonly Row[]): (group: string) => Row[] {
  const map = new Map<string, Row[]>();
  for (const row of rows) {
    const own = map.get(row.group);
    if (own) own.push(row);
    else map.set(row.group, [row]);
  }
  return (group) => map.get(group) ?? [];
}

function awayFrom(text: string): Away {
  const stretches = JSON.parse(text) as [number | null, number | null][];
  return {
    from: Float64Array.from(stretches, ([from]) => from ?? Number.NEGATIVE_INFINITY),
    until: Float64Array.from(stretches, ([, until]) => until ?? Number.POSITIVE_INFINITY),
  };
}

function cellsFrom(rows: readonly CellRow[], months: number, indexOf: (month: Date) => number): Cells {
  const hours = (value: (row: CellRow) => number) => Float64Array.from(rows, (row) => value(row) / 3600);
  return {
    months,
    month: Int32Array.from(rows, (row) => indexOf(row.month)),
    hour: Int32Array.from(rows, (row) => row.hour_of_week),
    freeHours: hours((row) => row.free_seconds),
    fullHours: hours((row) => row.full_seconds),
    windowHours: hours((row) => row.window_seconds),
    lastHours: hours((row) => row.last_seconds),
    outHours: hours((row) => row.out_seconds),
    freeTurns: Float64Array.from(rows, (row) => row.free_turns),
    handedTurns: Float64Array.from(rows, (row) => row.handed_turns),
    otherTurns: Float64Array.from(rows, (row) => row.last_turns + row.other_turns),
  };
}

const weeks = here("weeks");

/** Turns counted and to be expected in free time by group and week, from the working tables that `measureDemand` left. */
export async function weeksOf(
  connection: DuckDBConnection,
  { zone, months }: Pick<Measured, "zone" | "months">,
  rates: readonly { group: string; hour: Float64Array; month: Float64Array }[],
): Promise<Map<string, { turns: number; expected: number }[]>> {
  const byHour = rates.flatMap(({ group, hour }) => Array.from(hour, (rate, index) => ({ group, hour: index, rate })));
  const byMonth = rates.flatMap(({ group, month }) =>
    Array.from(month, (factor, index) => ({ group, month: months[index], factor })),
  );
  const rows = await ask<{ group: string; turns: number; expected: number }>(connection, weeks, {
    by_hour: JSON.stringify(byHour.filter(({ rate }) => rate > 0)),
    by_month: JSON.stringify(byMonth),
    zone,
  });
  const map = new Map<string, { turns: number; expected: number }[]>();
  for (const { group, ...row } of rows) map.set(group, [...(map.get(group) ?? []), row]);
  return map;
}
