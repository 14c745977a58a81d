// Roll-ups: what hours and occupancy ask of whole days, weeks and months, worked out once after each change. The same SQL that
// answers from the sessions fills them, so that both give the same.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, type Question, question } from "../../shared/question.ts";
import { boundsOf, inTurn, type Window } from "../hours/asked.ts";
import { type Known, makeCover, makeDraws, makeMembers, makePieces } from "../hours/build.ts";
import { hoursBetween } from "../hours/factors.ts";
import { makeOccupancy } from "../occupancy/build.ts";

const here = (path: string): Question => question(import.meta.url, path);
const binsQuestion = here("./bins.sql");
const keepBins = here("./keep-bins.sql");
const monthsQuestion = here("./months.sql");
const sessionCount = here("./session-count.sql");
const weeksQuestion = here("./weeks.sql");
const oldState = here("./old-state.sql");
const logFrom = here("./log-from.sql");
const keepLogFrom = here("./keep-log-from.sql");
const keepState = here("./keep-state.sql");
const coverDiffers = here("./cover-differs.sql");
const keepCover = here("./keep-cover.sql");
const readingGaps = here("./reading-gaps.sql");
const dropReadings = here("./drop-readings.sql");
const keepReadings = here("./keep-readings.sql");
const numberPersons = here("./number-persons.sql");
const occupancyDays = here("./occupancy-days.sql");
const fillWeeks = [here("./fill-weeks.sql"), here("./fill-week-draws.sql"), here("./fill-week-members.sql")];
const fillMonth = [here("./fill-sums.sql"), here("./fill-draws.sql"), here("./fill-members.sql")];
const fillDays = [here("./fill-ladder.sql"), here("./fill-peaks.sql")];

// Beyond this a stamp is wrong, and rolling up its empty months is not worth the wait.
const MOST_MONTHS = 1200;
const MOST_MONTHS_AT_ONCE = 60;
const MOST_SESSIONS_AT_ONCE = 100_000;

export interface RefreshAsked {
  /** IANA name of the workshop's time zone. */
  zone: string;
}

export interface Refreshed {
  /** Local months rolled up anew. */
  months: number;
  /** Whether all was made anew: another workshop file, zone, or sensor, or an older log. */
  everything: boolean;
}

/**
 * Brings the roll-ups up to date, in the caller's transaction; to be called after every derivation and every change of the
 * workshop file's tables. What changed it finds by itself, by checksums of thirty days each. Answers stay right without it, but
 * come from the sessions, and slower.
 */
export async function refreshRollups(connection: DuckDBConnection, { zone }: RefreshAsked): Promise<Refreshed> {
  return inTurn(connection, () => refresh(connection, zone));
}

interface Month {
  month: string;
  from_at: string;
  until_at: string;
  stale: boolean;
}

async function refresh(connection: DuckDBConnection, zone: string): Promise<Refreshed> {
  const bounds = await boundsOf(connection, { asOf: new Date("9999-01-01T00:00:00Z"), zone }, null);
  const known: Known = { machine: null, asOf: "infinity", logFrom: bounds.log_from, zone };
  await makeCover(connection, known, false);
  const [old] = await ask<{ first_month: string; until_month: string; same_workshop: boolean }>(connection, oldState, { zone });
  const [cover] = await ask<{ differs: boolean }>(connection, coverDiffers);
  const [noted] = await ask<{ log_from: string }>(connection, logFrom);
  const everything = !old?.same_workshop || cover!.differs || noted?.log_from !== bounds.log_from;
  const tables = ["rollup", "rollup_draw", "rollup_member", "rollup_ladder", "rollup_peak"] as const;
  if (everything) {
    for (const table of [...tables, "rollup_person", "rollup_reading", "rollup_cover"])
      await connection.run(`DELETE FROM ${table}`);
    await perform(connection, keepCover);
  }
  const changes = (await ask<{ from_at: string; until_at: string }>(connection, binsQuestion, { forget: everything })).map(
    ({ from_at, until_at }): Window => ({ from: from_at, until: until_at }),
  );
  const months = await ask<Month>(connection, monthsQuestion, {
    changes: JSON.stringify(changes),
    zone,
    log_from: bounds.log_from,
    first_month: everything ? null : old.first_month,
    until_month: everything ? null : old.until_month,
  });
  await connection.run("DELETE FROM rollup_state");
  if (months.length === 0 || months.length > MOST_MONTHS) {
    for (const table of [...tables, "rollup_bin", "rollup_reading"]) await connection.run(`DELETE FROM ${table}`);
    return { months: 0, everything };
  }
  const first = months[0]!.month;
  const until = monthAfter(months.at(-1)!.month);
  for (const table of tables) {
    await connection.run(`DELETE FROM ${table} WHERE label < $first::timestamp OR label >= $until::timestamp`, { first, until });
  }
  const stale = months.filter((month) => month.stale);
  for (const chunk of await chunksOf(connection, stale, months.length)) await rollUpMonths(connection, chunk, known, everything);
  await rollUpWeeks(connection, stale);
  if (everything) await sortByTier(connection);
  await rollUpReadings(connection, changes, known);
  await connection.run("DELETE FROM rollup_bin");
  await perform(connection, keepBins);
  await perform(connection, keepState, { zone, first_month: first, until_month: until });
  await perform(connection, keepLogFrom, { log_from: bounds.log_from });
  return { months: stale.length, everything };
}

function monthAfter(month: string): string {
  const [year, number] = month.split("-").map(Number) as [number, number];
  return number === 12 ? `${year + 1}-01-01` : `${year}-${String(number + 1).padStart(2, "0")}-01`;
}

/** Consecutive months together, as long as they have not too many sessions: every step costs as much to plan for one as for ten. */
async function chunksOf(connection: DuckDBConnection, stale: readonly Month[], all: number): Promise<Month[][]> {
  const [count] = await ask<{ sessions: number }>(connection, sessionCount);
  const most = Math.max(
    1,
    Math.min(MOST_MONTHS_AT_ONCE, Math.floor((MOST_SESSIONS_AT_ONCE * all) / Math.max(1, count!.sessions))),
  );
  const chunks: Month[][] = [];
  for (const month of stale) {
    const last = chunks.at(-1);
    if (last && last.length < most && last.at(-1)!.until_at === month.from_at) last.push(month);
    else chunks.push([month]);
  }
  return chunks;
}

async function rollUpMonths(connection: DuckDBConnection, months: readonly Month[], known: Known, fresh: boolean): Promise<void> {
  const first = months[0]!;
  const last = months.at(-1)!;
  if (!fresh) {
    const span = { month: first.month, next: monthAfter(last.month) };
    for (const table of ["rollup", "rollup_draw", "rollup_member"]) {
      await connection.run(
        `DELETE FROM ${table} WHERE tier <> 'week' AND label >= $month::timestamp AND label < $next::timestamp`,
        span,
      );
    }
    for (const table of ["rollup_ladder", "rollup_peak"]) {
      await connection.run(`DELETE FROM ${table} WHERE label >= $month::timestamp AND label < $next::timestamp`, span);
    }
  }
  const windows = [{ from: first.from_at, until: last.until_at }];
  await makePieces(connection, windows, known, "hour");
  await makeDraws(connection, known, "hour");
  await makeMembers(connection, known, "hour");
  await perform(connection, numberPersons);
  for (const fill of fillMonth) await perform(connection, fill);
  await perform(connection, occupancyDays, { from: first.from_at, until: last.until_at });
  await makeOccupancy(connection, windows, known);
  for (const fill of fillDays) await perform(connection, fill);
}

async function rollUpWeeks(connection: DuckDBConnection, stale: readonly Month[]): Promise<void> {
  const spans: Window[] = [];
  for (const { month } of stale) {
    const [weeks] = await ask<Window>(connection, weeksQuestion, { month });
    const last = spans.at(-1);
    if (last && weeks!.from <= last.until) last.until = weeks!.until;
    else spans.push(weeks!);
  }
  for (const { from, until } of spans) {
    for (const table of ["rollup", "rollup_draw", "rollup_member"]) {
      await connection.run(
        `DELETE FROM ${table} WHERE tier = 'week' AND label >= $from::timestamp AND label < $until::timestamp`,
        {
          from,
          until,
        },
      );
    }
    for (const fill of fillWeeks) await perform(connection, fill, { from, until });
  }
}

/** Lays rows of one tier side by side, so that a question reads past the others. */
async function sortByTier(connection: DuckDBConnection): Promise<void> {
  for (const table of ["rollup", "rollup_draw", "rollup_member"]) {
    await connection.run(`CREATE OR REPLACE TEMP TABLE rollup_sorted AS SELECT * FROM ${table} ORDER BY tier, label`);
    await connection.run(`DELETE FROM ${table}`);
    await connection.run(`INSERT INTO ${table} SELECT * FROM rollup_sorted`);
  }
  await connection.run("DROP TABLE rollup_sorted");
}

async function rollUpReadings(connection: DuckDBConnection, changes: readonly Window[], known: Known): Promise<void> {
  await perform(connection, dropReadings, { changes: JSON.stringify(changes) });
  const gaps = await ask<Window & { machine: string }>(connection, readingGaps);
  for (const machine of new Set(gaps.map((gap) => gap.machine))) {
    const mine = gaps.filter((gap) => gap.machine === machine);
    await hoursBetween(connection, mine, { ...known, machine });
    await perform(connection, keepReadings);
  }
}
