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

/** Bounds of a span as text that DuckDB casts, and the rolled-up local days that lie wholly inside. */
export interface Bounds {
  from_at: string;
  until_at: string;
  /** A microsecond later where it is the as-of time that cuts. */
  until_sharp: string;
  log_from: string;
  /** Null where no day lies inside. */
  days: Inside | null;
  months: Inside | null;
}

/** Local dates, the last excluded, and their first instants. */
export interface Inside {
  first: string;
  last: string;
  from: string;
  until: string;
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
  reach: string;
  log_from: string;
}

interface Midnight {
  from_at: string;
  until_at: string;
  until_sharp: string;
  day: string;
  day_at: string;
  month_day: number;
  is_in: boolean;
}

const spanQuestion = question(import.meta.url, "./span.sql");
const extentQuestion = question(import.meta.url, "./extent.sql");
const fingerprintQuestion = question(import.meta.url, "./fingerprint.sql");
const stateQuestion = question(import.meta.url, "./state.sql");

interface StoredState extends RollupState {
  zone: string;
  fingerprint: string;
  sessions: number;
  sessions_now: number;
  motors: number;
  motors_now: number;
  shadowed: boolean;
}

/** Null where there are no roll-ups, or they are of other sessions, another workshop file or zone, or of shadowed tables. */
export async function rollupState(connection: DuckDBConnection, zone: string): Promise<RollupState | null> {
  const [state] = await ask<StoredState>(connection, stateQuestion);
  if (!state || state.shadowed || state.zone !== zone) return null;
  if (state.sessions !== state.sessions_now || state.motors !== state.motors_now) return null;
  const [present] = await ask<{ fingerprint: string }>(connection, fingerprintQuestion, { until_month: state.until_month });
  return present!.fingerprint === state.fingerprint ? state : null;
}

export async function boundsOf(connection: DuckDBConnection, span: Span, state: RollupState | null): Promise<Bounds> {
  const asOf = span.asOf.toISOString();
  const logFrom = state?.log_from ?? (await ask<{ log_from: string | null }>(connection, extentQuestion))[0]!.log_from ?? asOf;
  const midnights = await ask<Midnight>(connection, spanQuestion, {
    since: span.since ?? null,
    until: span.until ?? null,
    as_of: asOf,
    log_from: logFrom,
    zone: span.zone,
    cover_from: state?.first_month ?? null,
    cover_until: state?.until_month ?? null,
  });
  const within = midnights.filter((midnight) => midnight.is_in);
  const insideOf = (rows: readonly Midnight[]): Inside | null => {
    const first = rows[0];
    const last = rows.at(-1);
    return first && last && first.day < last.day
      ? { first: first.day, last: last.day, from: first.day_at, until: last.day_at }
      : null;
  };
  const { from_at, until_at, until_sharp } = midnights[0]!;
  return {
    from_at,
    until_at,
    until_sharp,
    log_from: logFrom,
    days: insideOf(within),
    months: insideOf(within.filter((midnight) => midnight.month_day === 1)),
  };
}

/** What is left of a span around the roll-ups that are used. */
export function windowsAround(bounds: Bounds, inside: Inside | null): Window[] {
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
