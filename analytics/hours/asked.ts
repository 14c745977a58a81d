// What is asked of hours and occupancy, and what they share: spans, ranges, and whether the roll-ups hold.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, question } from "../../shared/question.ts";
import type { Relation } from "../../shared/relation.ts";

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

/** How a figure was worked out, in words for whoever doubts it. */
export interface Workings {
  formula: string;
  /** What went in, by name. */
  inputs: Record<string, string | number>;
  /** The files of the queries, as in the source. */
  queries: string[];
  notes: string[];
}

/** A large answer in its flat form: `head` is what stands beside the list, `list` the list's name. */
export interface FlatAnswer<Head extends object> {
  head: Head;
  list: string;
  relation: Relation;
  workings: Workings;
}

/** Bounds of a span as text that DuckDB casts; days of the roll-ups that lie wholly inside, null where there are none. */
export interface Bounds {
  from_at: string;
  until_at: string;
  until_sharp: string;
  log_from: string;
  first_day: string | null;
  last_day: string | null;
  first_week: string | null;
  last_week: string | null;
  first_month: string | null;
  last_month: string | null;
  first_day_at: string | null;
  last_day_at: string | null;
  first_month_at: string | null;
  last_month_at: string | null;
}

export interface Window {
  from: string;
  until: string;
}

/** The roll-ups as they stand, where they are of the present tables. */
export interface RollupState {
  first_month: string;
  until_month: string;
  open_from: string;
}

const spanQuestion = question(import.meta.url, "./span.sql");
const stateQuestion = question(import.meta.url, "./state.sql");

/** Null where there are no roll-ups, or they are of other sessions, another workshop file or zone, or of shadowed tables. */
export async function rollupState(connection: DuckDBConnection, zone: string): Promise<RollupState | null> {
  const [state] = await ask<RollupState>(connection, stateQuestion, { zone });
  return state ?? null;
}

export async function boundsOf(connection: DuckDBConnection, span: Span, state: RollupState | null): Promise<Bounds> {
  const [bounds] = await ask<Bounds>(connection, spanQuestion, {
    since: span.since ?? null,
    until: span.until ?? null,
    as_of: span.asOf,
    zone: span.zone,
    cover_from: state?.first_month ?? null,
    cover_until: state?.until_month ?? null,
  });
  return bounds!;
}

/** What is left of a span around the roll-ups that are used, as a JSON list. */
export function windowsAround(bounds: Bounds, inside: { from: string; until: string } | null): Window[] {
  const whole = { from: bounds.from_at, until: bounds.until_sharp };
  if (inside === null) return [whole];
  return [
    { from: whole.from, until: inside.from },
    { from: inside.until, until: whole.until },
  ].filter(({ from, until }) => from !== until);
}

const tails = new WeakMap<DuckDBConnection, Promise<unknown>>();

/** Answers build working tables on their connection: two on the same one wait for each other. */
export async function inTurn<T>(connection: DuckDBConnection, work: () => Promise<T>): Promise<T> {
  const turn = (tails.get(connection) ?? Promise.resolve()).then(work, work);
  tails.set(connection, turn);
  return turn;
}
