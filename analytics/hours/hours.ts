// Hours per machine and bucket: sessions are cut at local days or hours, then added up with their ranges.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question } from "../../shared/question.ts";
import { askRelation, isoFromDate, type Relation, rowsFromRelation } from "../../shared/relation.ts";

const spanQuestion = question(import.meta.url, "./span.sql");
const sessionsQuestion = question(import.meta.url, "./sessions.sql");
const slotsQuestion = question(import.meta.url, "./slots.sql");
const piecesQuestion = question(import.meta.url, "./pieces.sql");
const drawsQuestion = question(import.meta.url, "./piece-draws.sql");
const membersQuestion = question(import.meta.url, "./piece-members.sql");
const answerQuestion = question(import.meta.url, "./answer.sql");

export const BUCKETS = ["machine", "day", "week", "month", "hour-of-week"] as const;
export type Bucket = (typeof BUCKETS)[number];

/** A span and a point of view. Without `since` or `until` as far as the log and the as-of time go; `until` is excluded. */
export interface Span {
  since?: Date | undefined;
  until?: Date | undefined;
  asOf: Date;
  /** IANA name of the workshop's time zone. */
  zone: string;
}

/** A range of which an end may be unknown. */
export interface MaybeRange {
  low: number | null;
  best: number | null;
  high: number | null;
}

export interface SessionRow {
  machine: string;
  station: string;
  badge: string | null;
  start: string;
  end: string | null;
  endBest: string;
  ended: "released" | "superseded" | "restarted" | "lost" | "open";
  hours: MaybeRange;
}

export interface HoursRow {
  machine: string;
  from: string;
  until: string;
  hourOfWeek?: number;
  sessions: number | null;
  openSessions: number | null;
  starts: number | null;
  members: number | null;
  enabledHours: MaybeRange;
  runHours: MaybeRange;
}

/** A large answer in its flat form: `head` is what stands beside the list, `list` the list's name. */
export interface FlatAnswer<Head extends object> {
  head: Head;
  list: string;
  relation: Relation;
}

/** Every session that overlaps the span, unclipped, in order of time, then station. */
export async function sessionsRelation(
  connection: DuckDBConnection,
  { machine, since, until, asOf }: Span & { machine?: string | undefined },
): Promise<FlatAnswer<object>> {
  const relation = await askRelation(connection, sessionsQuestion, {
    machine: machine ?? null,
    since: since ?? null,
    until: until ?? null,
    as_of: asOf,
  });
  return { head: {}, list: "sessions", relation };
}

export async function sessions(
  connection: DuckDBConnection,
  asked: Span & { machine?: string | undefined },
): Promise<{ sessions: SessionRow[] }> {
  const { relation } = await sessionsRelation(connection, asked);
  return { sessions: rowsFromRelation<SessionRow>(relation) };
}

export interface HoursAsked extends Span {
  by?: Bucket | undefined;
  machine?: string | undefined;
  /** Also empty buckets and unused machines. */
  all?: boolean | undefined;
}

/** One row per machine and bucket, clipped to the span. */
export async function hoursRelation(connection: DuckDBConnection, asked: HoursAsked): Promise<FlatAnswer<{ asOf: string }>> {
  const { by = "machine", machine, since, until, asOf, zone, all = false } = asked;
  const [span] = await ask<{ from_at: string; until_at: string; until_sharp: string }>(connection, spanQuestion, {
    since: since ?? null,
    until: until ?? null,
    as_of: asOf,
  });
  const grain = by === "hour-of-week" ? "hour" : "day";
  const windows = JSON.stringify([{ from: span!.from_at, until: span!.until_sharp }]);
  const shared = { windows, machine: machine ?? null, zone, grain };
  await perform(connection, slotsQuestion, { windows, zone, grain });
  await perform(connection, piecesQuestion, { ...shared, as_of: asOf });
  await perform(connection, drawsQuestion, { ...shared, as_of: asOf });
  await perform(connection, membersQuestion, shared);
  const relation = await askRelation(connection, answerQuestion, {
    by,
    from: span!.from_at,
    until: span!.until_at,
    machine: machine ?? null,
    all,
    zone,
    factors: "[]",
  });
  return { head: { asOf: isoFromDate(asOf) }, list: "rows", relation };
}

export async function hours(connection: DuckDBConnection, asked: HoursAsked): Promise<{ asOf: string; rows: HoursRow[] }> {
  const { head, relation } = await hoursRelation(connection, asked);
  const rows = rowsFromRelation<HoursRow & { hourOfWeek?: number | null }>(relation);
  if (asked.by !== "hour-of-week") for (const row of rows) delete row.hourOfWeek;
  return { ...head, rows: rows as HoursRow[] };
}
