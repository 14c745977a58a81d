// The past as a forecast needs it: use of every machine by local day, opening hours and outages, asked for all machines at once.
import { createHash } from "node:crypto";
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, question } from "../../shared/question.ts";
import { boundsOf, inTurn, rollupState, windowsAround } from "../hours/asked.ts";
import { type Known, makeCover, makeDraws, makePieces } from "../hours/build.ts";
import { type Factors, learnFactors, type MeterRate, type RunFactor } from "../hours/factors.ts";
import type { Moment } from "../service/since.ts";
import type { UseBasis } from "../service/tasks.ts";
import type { Days } from "./exposure.ts";

const calendarQuestion = question(import.meta.url, "./calendar.sql");
const openHours = question(import.meta.url, "./open-hours.sql");
const machinesQuestion = question(import.meta.url, "./machines.sql");
const outagesQuestion = question(import.meta.url, "./outages.sql");
const markQuestion = question(import.meta.url, "./mark.sql");
const daily = question(import.meta.url, "./daily.sql");
const dailyStored = question(import.meta.url, "./daily-stored.sql");

/** Days are counted, but their use needs no forecast. */
export type ForecastBasis = Exclude<UseBasis, "days">;

/** What the days before today held; index 0 is the first day of the history. */
export interface MachineDays {
  machine: string;
  group: string;
  kind: "stations" | "driven" | "always-on" | "meter";
  /** When it came and went, as far as the workshop file says; `untilDay` is excluded. */
  fromDay: number | null;
  untilDay: number | null;
  motorHours: Float64Array;
  factoredHours: Float64Array;
  loadHours: Float64Array;
  starts: Float64Array;
  sessions: Float64Array;
  outages: { fromDay: number; untilDay: number | null }[];
  factor: RunFactor | null;
  rate: MeterRate | null;
}

export interface ShopPast {
  /** Local date of the as-of time, and of day 0. */
  today: string;
  firstDay: string;
  todayIndex: number;
  firstYear: number;
  days: Days;
  machines: MachineDays[];
}

/** Beyond this the past tells little of the time ahead. */
export const HISTORY_DAYS = 1096;
export const REACH_DAYS = 730;

interface CalendarRow {
  today: string;
  firstDay: string;
  lastDay: string;
  todayIndex: number;
  firstWeekday: number;
  firstYear: number;
  restOfToday: number;
  openUntil: string | null;
}

interface DayRow {
  machine: string;
  day: number;
  motorHours: number;
  factoredHours: number;
  loadHours: number;
  starts: number;
  sessions: number;
}

export interface PastAsked {
  asOf: Date;
  /** IANA name of the workshop's time zone. */
  zone: string;
  historyDays?: number;
  /** What is known already of the store at this as-of time, on this connection. */
  moment?: Moment | undefined;
}

interface Outage {
  machine: string;
  fromDay: number;
  untilDay: number | null;
}

/** Pasts of the last states asked for: all but the share of today still to come. */
const remembered = new Map<string, ShopPast>();
const MOST_REMEMBERED = 3;

/** The same object while nothing has changed and today is the same, but for `restOfToday`, which is beside it. */
export async function loadPast(
  connection: DuckDBConnection,
  { asOf, zone, historyDays = HISTORY_DAYS, moment }: PastAsked,
): Promise<{ past: ShopPast; restOfToday: number }> {
  return inTurn(connection, async () => {
    const { state, bounds, learned } = moment ?? (await momentOf(connection, asOf, zone));
    const [calendar] = await ask<CalendarRow>(connection, calendarQuestion, {
      as_of: asOf,
      log_from: bounds.log_from,
      zone,
      reach_days: REACH_DAYS,
      history_days: historyDays,
    });
    const { restOfToday, ...where } = calendar!;
    const outages = await ask<Outage>(connection, outagesQuestion, { as_of: asOf, first: where.firstDay, zone });
    const isRolled = state !== null && bounds.days !== null && bounds.days.last >= where.today;
    const key = isRolled ? await keyOf(connection, [where, outages, learned]) : null;
    const known = key === null ? undefined : remembered.get(key);
    if (known !== undefined) return { past: known, restOfToday };
    const { firstDay: first, today } = where;
    const rows = isRolled
      ? await ask<DayRow>(connection, dailyStored, { first, from: first, until: today })
      : await daysFromSessions(connection, { asOf, zone, first, today });
    const past = await pastFrom(connection, where, { rows, outages, learned, zone });
    if (key !== null) {
      remembered.set(key, past);
      if (remembered.size > MOST_REMEMBERED) remembered.delete(remembered.keys().next().value!);
    }
    return { past, restOfToday };
  });
}

async function momentOf(connection: DuckDBConnection, asOf: Date, zone: string): Promise<Moment> {
  const state = await rollupState(connection, zone);
  const bounds = await boundsOf(connection, { asOf, zone }, state);
  return { state, bounds, learned: await learnFactors(connection, { machine: null, asOf, zone }, state, bounds) };
}

async function keyOf(connection: DuckDBConnection, parts: readonly unknown[]): Promise<string> {
  const [row] = await ask<{ mark: string }>(connection, markQuestion);
  return createHash("sha256")
    .update(JSON.stringify([row!.mark, parts]))
    .digest("hex");
}

async function pastFrom(
  connection: DuckDBConnection,
  { today, firstDay: first, lastDay: last, todayIndex, firstWeekday, firstYear, openUntil }: Omit<CalendarRow, "restOfToday">,
  { rows, outages, learned, zone }: { rows: readonly DayRow[]; outages: readonly Outage[]; learned: Factors; zone: string },
): Promise<ShopPast> {
  const open = await ask<{ day: number; hours: number }>(connection, openHours, { first, last });
  const known = await ask<{
    machine: string;
    groupId: string;
    kind: MachineDays["kind"];
    fromDay: number | null;
    untilDay: number | null;
  }>(connection, machinesQuestion, { first, zone });
  const machines = new Map(
    known.map(({ machine, groupId, kind, fromDay, untilDay }): [string, MachineDays] => [
      machine,
      {
        machine,
        group: groupId,
        kind,
        fromDay,
        untilDay,
        motorHours: new Float64Array(todayIndex),
        factoredHours: new Float64Array(todayIndex),
        loadHours: new Float64Array(todayIndex),
        starts: new Float64Array(todayIndex),
        sessions: new Float64Array(todayIndex),
        outages: outages.filter((outage) => outage.machine === machine),
        factor: learned.factors.find((factor) => factor.machine === machine) ?? null,
        rate: learned.rates.findLast((rate) => rate.machine === machine) ?? null,
      },
    ]),
  );
  for (const { machine, day, ...row } of rows) {
    const own = machines.get(machine);
    if (own === undefined || day < 0 || day >= todayIndex) continue;
    own.motorHours[day] = row.motorHours;
    own.factoredHours[day] = row.factoredHours;
    own.loadHours[day] = row.loadHours;
    own.starts[day] = row.starts;
    own.sessions[day] = row.sessions;
  }
  const count = todayIndex + REACH_DAYS + 1;
  const hours = openUntil === null ? null : openDays(open, count, daysBetween(first, openUntil));
  return {
    today,
    firstDay: first,
    todayIndex,
    firstYear,
    days: { count, firstWeekday, openHours: hours },
    machines: [...machines.values()],
  };
}

/** Where the roll-ups don't reach, and of a time that has gone by. hours_cover must stand. */
async function daysFromSessions(
  connection: DuckDBConnection,
  { asOf, zone, first, today }: { asOf: Date; zone: string; first: string; today: string },
): Promise<DayRow[]> {
  const bounds = await boundsOf(connection, { asOf, zone }, null);
  const known: Known = { machine: null, asOf: asOf.toISOString(), logFrom: bounds.log_from, zone };
  await makeCover(connection, known, false);
  await makePieces(connection, windowsAround(bounds, null), known, "day");
  await makeDraws(connection, known, "day");
  return ask<DayRow>(connection, daily, { first, until: today });
}

/** Days beyond those known are open as the same days of the week of the year before them. */
function openDays(rows: readonly { day: number; hours: number }[], count: number, lastKnown: number): Float64Array {
  const hours = new Float64Array(count);
  for (const { day, hours: open } of rows) if (day >= 0 && day < count) hours[day] = open;
  for (let day = lastKnown + 1; day < count; day++) hours[day] = hours[day - 364] ?? 0;
  return hours;
}

/** Whole days from one calendar date to another; no zone has a say in it. */
export const daysBetween = (from: string, until: string): number =>
  Math.round((Date.parse(`${until}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / 86_400_000);
