// All that a question about demand starts from, worked out once for a state of the store: wishes with their doubt, lengths, schedule.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question } from "../../shared/question.ts";
import type { Span } from "../hours/asked.ts";
import { type Cells, fitArrivals } from "./arrivals.ts";
import { randomFrom } from "./chance.ts";
import { turnLengths } from "./lengths.ts";
import {
  type Evidence,
  type Length,
  lastStartMinutes,
  type Measured,
  type MeasuredGroup,
  measureDemand,
  type Unit,
  weeksOf,
} from "./measure.ts";
import type { TurnLengths } from "./queue.ts";
import type { SimulatedSchedule } from "./what-if.ts";
import { returningShare, type Wishes, wishesFrom } from "./wishes.ts";

const slices = question(import.meta.url, "./slices.sql");
const schedule = question(import.meta.url, "./schedule.sql");

/** In how many ways it may have been. */
export const DEMAND_DRAWS = 200;

export interface GroupModel {
  group: string;
  /** Its place among all groups: the stream of its luck. */
  stream: number;
  units: Unit[];
  cells: Cells;
  wishes: Wishes;
  lengths: TurnLengths;
  turns: number;
  evidence: Evidence[];
  elsewhere: MeasuredGroup["elsewhere"];
  upkeep: MeasuredGroup["upkeep"];
  /** How many of the span's months its figures come from. */
  monthsUsed: number;
}

export interface DemandModel {
  from: Date;
  until: Date;
  spanHours: number;
  months: string[];
  schedule: SimulatedSchedule & { openHours: number; locks: boolean };
  groups: GroupModel[];
}

/** Which months of a group may be used (all where not given): of the board's answers only those that it is shown. */
export type MonthsUsed = (group: string, machines: readonly string[], month: string, turns: number) => boolean;

/** The model of the span, or null where the log has nothing there. */
export async function demandModel(
  connection: DuckDBConnection,
  span: Span,
  { seed, isUsed = () => true }: { seed: number; isUsed?: MonthsUsed },
): Promise<DemandModel | null> {
  const measured = await measureDemand(connection, span);
  if (measured === null) return null;
  const kept = measured.groups.map((group) => keptMonths(group, measured.months, isUsed));
  const weeks = await weeksOf(
    connection,
    measured,
    kept.map(({ group, cells, used }) => {
      const { hour, month } = fitArrivals(cells);
      return { group, hour, month: month.map((factor, index) => (used.has(index) ? factor : 0)) };
    }),
  );
  return {
    from: measured.from,
    until: measured.until,
    spanHours: (measured.until.getTime() - measured.from.getTime()) / 3_600_000,
    months: measured.months,
    schedule: measured.schedule,
    groups: kept.map((group, stream) => ({
      group: group.group,
      stream,
      units: group.units,
      cells: group.cells,
      wishes: wishesFrom(group.cells, weeks.get(group.group) ?? [], returningOf(group.evidence), {
        draws: DEMAND_DRAWS,
        random: randomFrom(seed, 1_000 + stream),
      }),
      lengths: turnLengths(group.lengths),
      turns: group.lengths.length,
      evidence: group.evidence,
      elsewhere: group.elsewhere,
      upkeep: group.upkeep,
      monthsUsed: group.used.size,
    })),
  };
}

const returningOf = (evidence: readonly Evidence[]): number =>
  returningShare(
    evidence.reduce((sum, { nearTurns }) => sum + nearTurns, 0),
    evidence.reduce((sum, { returns }) => sum + returns, 0),
  );

interface KeptGroup extends MeasuredGroup {
  used: Set<number>;
}

/** The group with nothing in it of months that may not be used. */
function keptMonths(group: MeasuredGroup, months: Measured["months"], isUsed: MonthsUsed): KeptGroup {
  const machines = group.units.map(({ machine }) => machine);
  const turns = new Float64Array(months.length);
  const { cells } = group;
  for (let i = 0; i < cells.month.length; i++)
    turns[cells.month[i]!]! += cells.freeTurns[i]! + cells.handedTurns[i]! + cells.otherTurns[i]!;
  const used = new Set(months.flatMap((month, index) => (isUsed(group.group, machines, month, turns[index]!) ? [index] : [])));
  if (used.size === months.length) return { ...group, used };
  const isIn = (_: unknown, i: number) => used.has(cells.month[i]!);
  const of = <Month extends { month: number }>(rows: readonly Month[]) => rows.filter(({ month }) => used.has(month));
  return {
    ...group,
    used,
    cells: {
      months: cells.months,
      month: cells.month.filter(isIn),
      hour: cells.hour.filter(isIn),
      freeHours: cells.freeHours.filter(isIn),
      fullHours: cells.fullHours.filter(isIn),
      windowHours: cells.windowHours.filter(isIn),
      lastHours: cells.lastHours.filter(isIn),
      outHours: cells.outHours.filter(isIn),
      freeTurns: cells.freeTurns.filter(isIn),
      handedTurns: cells.handedTurns.filter(isIn),
      otherTurns: cells.otherTurns.filter(isIn),
    },
    lengths: of<Length>(group.lengths),
    evidence: of<Evidence>(group.evidence),
    elsewhere: of(group.elsewhere),
    upkeep: { records: 0, cost: 0 },
  };
}

export interface ExtraHours {
  /** 1 is Monday. */
  weekday: number;
  fromMinute: number;
  untilMinute: number;
}

const schedulesKept = new WeakMap<DemandModel, Map<string, Promise<SimulatedSchedule>>>();

/** The model's schedule with more opening hours every week, worked out once. */
export function scheduleWith(
  connection: DuckDBConnection,
  model: DemandModel,
  zone: string,
  extra: ExtraHours,
): Promise<SimulatedSchedule> {
  const kept = schedulesKept.get(model) ?? new Map<string, Promise<SimulatedSchedule>>();
  schedulesKept.set(model, kept);
  const key = JSON.stringify(extra);
  const known = kept.get(key);
  if (known) return known;
  const making = scheduleMade(connection, model, zone, extra);
  kept.set(key, making);
  making.catch(() => kept.delete(key));
  return making;
}

/** The model's schedule with more opening hours every week, in finer slices; each slice knows when it would be locked up as it is. */
async function scheduleMade(
  connection: DuckDBConnection,
  { from, until, months, schedule: base }: DemandModel,
  zone: string,
  { weekday, fromMinute, untilMinute }: ExtraHours,
): Promise<SimulatedSchedule> {
  await perform(connection, slices, {
    from,
    until,
    last_start_minutes: lastStartMinutes,
    zone,
    extra_weekday: weekday,
    extra_from: fromMinute,
    extra_until: untilMinute,
  });
  interface Row {
    spell: number;
    from_hour: number;
    until_hour: number;
    closes_hour: number;
    month: Date;
    hour_of_week: number;
  }
  const rows = await ask<Row>(connection, schedule, { from, locks: base.locks });
  const closesAsIs = new Float64Array(rows.length);
  const isExtra = new Uint8Array(rows.length);
  let at = 0;
  for (const [index, row] of rows.entries()) {
    while (at < base.from.length - 1 && base.until[at]! <= row.from_hour + 1e-9) at++;
    const isUsual = base.from[at]! <= row.from_hour + 1e-9 && base.until[at]! > row.from_hour + 1e-9;
    isExtra[index] = isUsual ? 0 : 1;
    closesAsIs[index] = isUsual ? base.closes[at]! : row.until_hour;
  }
  const firstOf = (date: Date): number => Math.max(0, months.indexOf(date.toISOString().slice(0, 10)));
  return {
    from: Float64Array.from(rows, (row) => row.from_hour),
    until: Float64Array.from(rows, (row) => row.until_hour),
    closes: Float64Array.from(rows, (row) => row.closes_hour),
    closesAsIs,
    hour: Int32Array.from(rows, (row) => row.hour_of_week),
    month: Int32Array.from(rows, (row) => firstOf(row.month)),
    spell: Int32Array.from(rows, (row) => row.spell),
    isExtra,
  };
}
