// A log that DuckDB can see becomes stored lines, all in the caller's transaction: staged and typed row by row, what needs its
// neighbours thought about, duplicates found, badges hashed, the rest stored or noted with why not.
import type { DuckDBConnection } from "@duckdb/node-api";
import { FailedError, UsageError } from "../../shared/errors.ts";
import { EVENT_KINDS, type Profile, type ProfileDurationField, type ProfileTimeField } from "../../shared/profile.ts";
import { ask, type Bound, perform, QueryError, type Question, question } from "../../shared/question.ts";
import type { Account, Touched } from "../accounting.ts";
import { keepAlive } from "../alive/keep-alive.ts";
import { moveUnset, settleClocks } from "../clocks/settle-clocks.ts";
import { fieldAt } from "../reading/fields.ts";
import type { Source } from "../reading/spool.ts";
import { type Reason, reasonsOf } from "./reasons.ts";
import { prepareZone } from "./zones.ts";

const steps = {
  stageEvents: question(import.meta.url, "./stage-events.sql"),
  stageSessions: question(import.meta.url, "./stage-sessions.sql"),
  markPreamble: question(import.meta.url, "./mark-preamble.sql"),
  findOwnDuplicates: question(import.meta.url, "./find-own-duplicates.sql"),
  findStoredDuplicates: question(import.meta.url, "./find-stored-duplicates.sql"),
  findOwnStretchDuplicates: question(import.meta.url, "./find-own-stretch-duplicates.sql"),
  findStoredStretchDuplicates: question(import.meta.url, "./find-stored-stretch-duplicates.sql"),
  noteBadges: question(import.meta.url, "./note-badges.sql"),
  insertEvents: question(import.meta.url, "./insert-events.sql"),
  insertUnique: question(import.meta.url, "./insert-events-unique.sql"),
  insertPlainly: question(import.meta.url, "./insert-events-plainly.sql"),
  insertStretches: question(import.meta.url, "./insert-stretches.sql"),
  insertRejects: question(import.meta.url, "./insert-rejects.sql"),
  insertReading: question(import.meta.url, "./insert-reading.sql"),
  forgetUnderstood: question(import.meta.url, "./forget-understood.sql"),
};
const clear = [
  "./drop-log-stage.sql",
  "./drop-log-session-stage.sql",
  "./clear-log-stage.sql",
  "./clear-log-session-stage.sql",
  "./clear-log-badge.sql",
  "./clear-log-drop.sql",
].map((path) => question(import.meta.url, path));
/**
 * Up to so many rows are staged in a temporary table of the same name: it is neither compressed nor written to the store's file,
 * but lies in memory.
 */
const MOST_ROWS_IN_MEMORY = 500_000;
const inMemory = ({ file, sql }: Question): Question => ({
  file,
  sql: sql.replace("CREATE OR REPLACE TABLE", "CREATE OR REPLACE TEMP TABLE"),
});
const stagesInMemory = { stageEvents: inMemory(steps.stageEvents), stageSessions: inMemory(steps.stageSessions) };
const countRows = question(import.meta.url, "./count-rows.sql");
const countStates = question(import.meta.url, "./count-states.sql");
const countSessionStates = question(import.meta.url, "./count-session-states.sql");
const countDuplicates = question(import.meta.url, "./count-duplicates.sql");
const countSessionDuplicates = question(import.meta.url, "./count-session-duplicates.sql");
const listBadges = question(import.meta.url, "./list-badges.sql");
const findTouched = question(import.meta.url, "./find-touched.sql");
const findTouchedStretches = question(import.meta.url, "./find-touched-stretches.sql");
const firstRow = question(import.meta.url, "./first-row.sql");
const hasRejects = question(import.meta.url, "./has-rejects.sql");
const nextReading = question(import.meta.url, "./next-reading.sql");

export interface Storing {
  /** As the caller named it. */
  name: string;
  profile: Profile;
  /** The workshop's, for stamps without an offset where the profile names none. */
  zone: string;
  storedBadge: (badge: string) => string;
  source: Source;
  /** Of a file from its start, of a live source behind those of its earlier readings, or as given (rejects that are read again). */
  numbering: "file" | "goes-on" | "given";
}

interface StateCount {
  state: string;
  rows: number;
  first_at: Date | null;
  last_at: Date | null;
}

interface EventStateCount extends StateCount {
  repaired: number;
  repaired_alive: number;
  alive: number;
  boots: number;
  locals: number;
  anchored: number;
  counted: number;
}

/** Stores what can be stored and accounts for every line. */
export async function storeLog(connection: DuckDBConnection, storing: Storing): Promise<Account> {
  const zone = storing.profile.zone ?? storing.zone;
  await prepareZone(connection, zone);
  const [next] = await ask<{ reading: number; lines: number }>(connection, nextReading, { file: storing.name });
  const reading = next!.reading;
  const lineOffset = storing.numbering === "goes-on" ? next!.lines : 0;
  try {
    const isSessions = storing.profile.rows === "sessions";
    const found = isSessions
      ? await storeSessions(connection, storing, zone, reading, lineOffset)
      : await storeEvents(connection, storing, zone, reading, lineOffset);
    const account = accountFrom(storing.name, found);
    if (storing.numbering === "file") await forgetUnderstood(connection, storing, zone);
    if (account.rejected > 0) await noteRejects(connection, storing, reading, lineOffset);
    const { file: _file, touched: _touched, ...counts } = account;
    await perform(connection, steps.insertReading, {
      ...counts,
      reading,
      file: storing.name,
      profile: JSON.stringify(storing.profile),
      header: storing.source.header === null ? null : JSON.stringify(storing.source.header),
    });
    return account;
  } finally {
    // After an error the transaction is rolled back and there is nothing to clear; the first error is the one to tell.
    for (const step of clear) await perform(connection, step).catch(() => undefined);
  }
}

interface Found {
  counts: StateCount[];
  duplicates: number;
  repaired: number;
  touched: Touched | null;
}

const NOT_REJECTED = new Set(["good", "blank", "ignored"]);

function accountFrom(file: string, { counts, duplicates, repaired, touched }: Found): Account {
  const rowsOf = (state: string): number => counts.find((count) => count.state === state)?.rows ?? 0;
  const sum = (some: StateCount[]): number => some.reduce((total, { rows }) => total + rows, 0);
  return {
    file,
    lines: sum(counts),
    stored: rowsOf("good") - duplicates,
    duplicates,
    ignored: rowsOf("ignored"),
    blank: rowsOf("blank"),
    rejected: sum(counts.filter(({ state }) => !NOT_REJECTED.has(state))),
    repaired,
    touched,
  };
}

async function storeEvents(
  connection: DuckDBConnection,
  storing: Storing,
  zone: string,
  reading: number,
  lineOffset: number,
): Promise<Found> {
  const { source, profile } = storing;
  const { time, station, event, badge, sequence, detail } = source.cellOf;
  await stage(connection, "stageEvents", storing, {
    ...stageValues(storing, zone),
    ...stampValues(fieldAt(profile, "time") as ProfileTimeField | undefined),
    bare: !source.spooled && !source.padded && profile.null_values.length === 0,
    time,
    station,
    event,
    badge,
    sequence,
    detail,
    words: JSON.stringify(wordsOf(profile).map(({ word }) => word)),
    kinds: JSON.stringify(wordsOf(profile).map(({ kind }) => kind)),
  });
  const [staged] = await ask<{ rows: number }>(connection, countRows);
  checkRows(storing, staged!.rows);
  if (source.preamble > 0 || staged!.rows > source.rows) {
    await perform(connection, steps.markPreamble, { preamble: source.preamble, rows: source.rows });
  }
  await noteBadges(connection, storing);
  const counts = await settled(connection, storing, zone, await ask<EventStateCount>(connection, countStates));
  const good = counts.find(({ state }) => state === "good");
  if (good === undefined) return { counts, duplicates: 0, repaired: 0, touched: null };
  const span = { from: good.first_at, until: good.last_at };
  await perform(connection, steps.findOwnDuplicates);
  await perform(connection, steps.findStoredDuplicates, span);
  const moved = good.anchored > 0 ? await moveUnset(connection) : [];
  await insertEvents(connection, reading, lineOffset);
  const [dropped] = await ask<{ duplicates: number; repaired: number }>(connection, countDuplicates);
  const alive = good.alive > 0 ? await keepAlive(connection, span) : { byStation: [], repaired: 0 };
  const newAlive = alive.byStation.reduce((total, { signs }) => total + signs, 0);
  const touched = await ask<TouchedRow>(connection, findTouched, { reading, ...span });
  return {
    counts,
    duplicates: dropped!.duplicates + good.alive - newAlive,
    repaired: good.repaired - good.repaired_alive - dropped!.repaired + alive.repaired,
    touched: touchedFrom([...touched, ...moved, ...alive.byStation]),
  };
}

/** Without duplicates, or badges to hash, there is less to join and rows keep the order of lines. */
async function insertEvents(connection: DuckDBConnection, reading: number, lineOffset: number): Promise<void> {
  const [row] = await ask<{ first_row: string; dropped: number; renamed: boolean }>(connection, firstRow);
  const values = { reading, line_offset: lineOffset };
  if (row!.dropped > 0) await perform(connection, steps.insertEvents, values);
  else
    await perform(connection, row!.renamed ? steps.insertUnique : steps.insertPlainly, { ...values, first_row: row!.first_row });
}

/** Settles the stamps that only their neighbours explain; gives the counts as they are then. */
async function settled(
  connection: DuckDBConnection,
  storing: Storing,
  zone: string,
  counts: EventStateCount[],
): Promise<EventStateCount[]> {
  const good = counts.find(({ state }) => state === "good");
  const hasUnset = counts.some(({ state }) => state === "unset");
  if (good === undefined && !hasUnset) return counts;
  const { path, compression, longest, spooled } = stageValues(storing, zone);
  const hasSettled = await settleClocks(connection, {
    zone,
    earliest: storing.profile.earliest,
    shifts: storing.profile.impossible === "shift",
    from: good?.first_at ?? null,
    until: good?.last_at ?? null,
    hasUnset,
    maySetBack: (good?.boots ?? 0) + (good?.counted ?? 0) > 0,
    hasLocal: (good?.locals ?? 0) > 0,
    source: storing.numbering === "goes-on" ? storing.name : null,
    again: { path: path!, compression: compression!, longest: longest!, spooled: spooled! },
  });
  return hasSettled ? ask<EventStateCount>(connection, countStates) : counts;
}

async function storeSessions(
  connection: DuckDBConnection,
  storing: Storing,
  zone: string,
  reading: number,
  lineOffset: number,
): Promise<Found> {
  const { source, profile } = storing;
  const { time, finish, duration, station, badge, sequence, detail } = source.cellOf;
  const finishValues = stampValues(fieldAt(profile, "finish") as ProfileTimeField | undefined);
  const length = fieldAt(profile, "duration") as ProfileDurationField | undefined;
  await stage(connection, "stageSessions", storing, {
    ...stageValues(storing, zone),
    ...stampValues(fieldAt(profile, "time") as ProfileTimeField | undefined),
    ...Object.fromEntries(Object.entries(finishValues).map(([name, value]) => [`finish_${name}`, value])),
    time,
    finish,
    duration,
    station,
    badge,
    sequence,
    detail,
    seconds: { hours: 3600, minutes: 60, seconds: 1 }[length?.unit ?? "seconds"],
    duration_decimal: length?.decimal ?? ".",
    preamble: source.preamble,
    rows: source.rows,
  });
  await noteBadges(connection, storing);
  const counts = await ask<StateCount>(connection, countSessionStates);
  const good = counts.find(({ state }) => state === "good");
  if (good === undefined) return { counts, duplicates: 0, repaired: 0, touched: null };
  const span = { from: good.first_at, until: good.last_at };
  await perform(connection, steps.findOwnStretchDuplicates);
  await perform(connection, steps.findStoredStretchDuplicates, span);
  await perform(connection, steps.insertStretches, { reading, line_offset: lineOffset });
  const [dropped] = await ask<{ duplicates: number; repaired: number }>(connection, countSessionDuplicates);
  const touched = await ask<TouchedRow>(connection, findTouchedStretches, { reading, ...span });
  return { counts, duplicates: dropped!.duplicates, repaired: dropped!.repaired, touched: touchedFrom(touched) };
}

function stageValues({ source, profile }: Storing, zone: string): Record<string, Bound> {
  return {
    path: source.path,
    compression: source.gzip ? "gzip" : "none",
    longest: Math.max(2 << 20, source.longestLine),
    spooled: source.spooled,
    delimiter: profile.delimiter,
    comment: source.spooled ? null : (profile.comment ?? null),
    width: source.width,
    nulls: JSON.stringify(profile.null_values),
    earliest: profile.earliest,
    zone,
  };
}

/** How a stamp is read; `absolute` null where each says by itself whether it has an offset. */
function stampValues(field: ProfileTimeField | undefined): Record<string, Bound> {
  const style = field?.unit !== undefined ? "count" : field?.format !== undefined ? "format" : "iso";
  return {
    style,
    format: field?.format ?? "%Y",
    microseconds: field?.unit === "ms" ? 1000 : 1_000_000,
    origin: field?.origin ?? "1970-01-01",
    decimal: field?.decimal ?? ".",
    absolute: style === "count" ? true : style === "format" ? (field?.format?.includes("%z") ?? false) : null,
    add_years: field?.add_years ?? 0,
  };
}

function wordsOf(profile: Profile): { word: string; kind: string }[] {
  const { event } = profile.fields;
  const known = event?.map ?? Object.fromEntries(EVENT_KINDS.map((kind) => [kind, kind]));
  const mapped = event === undefined ? { enable: "enable" } : known;
  return [
    ...Object.entries(mapped)
      .filter(([word]) => event?.ignore.includes(word) !== true)
      .map(([word, kind]) => ({ word, kind })),
    ...(event?.ignore ?? []).map((word) => ({ word, kind: "ignored" })),
  ];
}

async function stage(
  connection: DuckDBConnection,
  step: "stageEvents" | "stageSessions",
  { profile, source }: Storing,
  values: Record<string, Bound>,
): Promise<void> {
  try {
    await perform(connection, (source.rows > MOST_ROWS_IN_MEMORY ? steps : stagesInMemory)[step], values);
  } catch (error) {
    const message = error instanceof QueryError ? error.message : "";
    if (!/Failed to parse format specifier|strptime format/i.test(message)) throw error;
    const field = fieldAt(profile, "time") as ProfileTimeField | undefined;
    throw new UsageError({
      field: "format",
      value: field?.format,
      expected: 'a format as strptime knows it, like "%d/%m/%Y %H:%M:%S"',
    });
  }
}

/** DuckDB must have found the lines that the byte pass counted; more only where the file grew meanwhile. */
function checkRows({ name, source }: Storing, rows: number): void {
  if (rows === source.rows || (rows > source.rows && !source.spooled)) return;
  throw new FailedError({
    field: "file",
    value: name,
    expected: `${source.rows} lines as counted by the byte; DuckDB found ${rows}, so nothing was stored`,
  });
}

const BADGES_AT_ONCE = 20_000;

async function noteBadges(connection: DuckDBConnection, { storedBadge }: Storing): Promise<void> {
  const result = await connection.run(listBadges.sql);
  let pairs: { badge: string; stored: string }[] = [];
  const flush = async (): Promise<void> => {
    if (pairs.length > 0) await perform(connection, steps.noteBadges, { pairs: JSON.stringify(pairs) });
    pairs = [];
  };
  for (let chunk = await result.fetchChunk(); chunk !== null && chunk.rowCount > 0; chunk = await result.fetchChunk()) {
    for (const badge of chunk.getColumnValues(0) as string[]) pairs.push({ badge, stored: storedBadge(badge) });
    if (pairs.length >= BADGES_AT_ONCE) await flush();
  }
  await flush();
}

async function noteRejects(connection: DuckDBConnection, storing: Storing, reading: number, lineOffset: number): Promise<void> {
  const reasons: Reason[] = reasonsOf(storing.profile, storing.source.header?.length ?? 0);
  const probe = "00417";
  await perform(connection, steps.insertRejects, {
    reading,
    file: storing.name,
    line_offset: lineOffset,
    reasons: JSON.stringify(reasons),
    hides: storing.storedBadge(probe) !== probe,
  });
}

async function forgetUnderstood(connection: DuckDBConnection, storing: Storing, zone: string): Promise<void> {
  const [row] = await ask<{ known: boolean }>(connection, hasRejects, { file: storing.name });
  if (row?.known !== true) return;
  const { path, compression, longest, spooled } = stageValues(storing, zone);
  await perform(connection, steps.forgetUnderstood, {
    file: storing.name,
    path: path!,
    compression: compression!,
    longest: longest!,
    spooled: spooled!,
  });
}

interface TouchedRow {
  station: string;
  first_at: Date;
  last_at: Date;
}

function touchedFrom(rows: TouchedRow[]): Touched | null {
  if (rows.length === 0) return null;
  return {
    stations: [...new Set(rows.map(({ station }) => station))].sort(),
    from: new Date(Math.min(...rows.map(({ first_at }) => first_at.getTime()))),
    until: new Date(Math.max(...rows.map(({ last_at }) => last_at.getTime()))),
  };
}
