// Sessions as they are, and hours per machine and bucket: sessions are cut at local days or hours, then added up with their
// ranges. Whole days, weeks and months come from the roll-ups where these hold, only the edges of the span from the sessions.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, type Bound, perform, question } from "../../shared/question.ts";
import { askRelation, isoFromDate, rowsFromRelation } from "../../shared/relation.ts";
import {
  type Bounds,
  boundsOf,
  type FlatAnswer,
  type Inside,
  inTurn,
  type MaybeRange,
  type RollupState,
  rollupState,
  type Span,
  type Workings,
  windowsAround,
} from "./asked.ts";
import { type Known, makeDraws, makeMembers, makePieces } from "./build.ts";
import { isoText, learnFactors } from "./factors.ts";

const sessionsQuestion = question(import.meta.url, "./sessions.sql");
const bucketSums = question(import.meta.url, "./bucket-sums.sql");
const partsQuestion = question(import.meta.url, "./parts.sql");
const drawnQuestion = question(import.meta.url, "./drawn.sql");
const bucketWorlds = question(import.meta.url, "./bucket-worlds.sql");
const bucketWorldsStored = question(import.meta.url, "./bucket-worlds-stored.sql");
const bucketWorldsBoth = question(import.meta.url, "./bucket-worlds-both.sql");
const bucketMembers = question(import.meta.url, "./bucket-members.sql");
const bucketMembersStored = question(import.meta.url, "./bucket-members-stored.sql");
const bucketOpen = question(import.meta.url, "./bucket-open.sql");
const bucketAll = question(import.meta.url, "./bucket-all.sql");
const meterRates = question(import.meta.url, "./meter-rates.sql");
const answerQuestion = question(import.meta.url, "./answer.sql");

export const BUCKETS = ["machine", "day", "week", "month", "hour-of-week"] as const;
export type Bucket = (typeof BUCKETS)[number];

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
  /** Local day of `from`, of days, weeks and months. */
  day?: string | null;
  hourOfWeek?: number;
  sessions: number | null;
  openSessions: number | null;
  starts: number | null;
  members: number | null;
  enabledHours: MaybeRange;
  runHours: MaybeRange;
  /** Of driven machines. */
  loadHours?: MaybeRange;
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
  const workings: Workings = {
    formula: "hours = end − start; of an unseen end the hard bounds and the median of where it may lie",
    inputs: { sessions: relation.rowCount, asOf: isoFromDate(asOf) },
    queries: ["analytics/hours/sessions.sql"],
    notes: [],
  };
  return { head: {}, list: "sessions", relation, workings };
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
  /** false: from the sessions alone, whatever the roll-ups say. */
  rollups?: boolean | undefined;
}

type Tier = {
  tier: string;
  tier_from: string | null;
  tier_until: string | null;
  day_from: string | null;
  day_until: string | null;
};

const noTier: Tier = { tier: "none", tier_from: null, tier_until: null, day_from: null, day_until: null };

/** Which roll-ups serve a bucket, and the instants between which they do. */
function tierFor(by: Bucket, { days, months }: Bounds): { tier: Tier; inside: Inside | null } {
  if (by === "hour-of-week") {
    if (months === null) return { tier: noTier, inside: null };
    return { tier: { ...noTier, tier: "hour-of-week", tier_from: months.first, tier_until: months.last }, inside: months };
  }
  if (days === null) return { tier: noTier, inside: null };
  const around = { day_from: days.first, day_until: days.last };
  if (by === "week") {
    const [first, last] = [mondayFrom(days.first, 6), mondayFrom(days.last, 0)];
    if (first < last) return { tier: { tier: "week", tier_from: first, tier_until: last, ...around }, inside: days };
  } else if (by !== "day" && months !== null) {
    return { tier: { tier: "month", tier_from: months.first, tier_until: months.last, ...around }, inside: days };
  }
  return { tier: { tier: "day", tier_from: days.first, tier_until: days.last, ...around }, inside: days };
}

/** The Monday at or before the day that comes `later` days after a date. Dates only: no clock is asked. */
function mondayFrom(date: string, later: number): string {
  const day = new Date(Date.parse(`${date}T00:00:00Z`) + later * 86_400_000);
  return new Date(day.getTime() - ((day.getUTCDay() + 6) % 7) * 86_400_000).toISOString().slice(0, 10);
}

/**
 * One row per machine and bucket, clipped to the span and to the as-of time. The range of enabled hours is the spread of the sums
 * over the joint worlds; that of run-hours also that of the run factor and of the bucket's own luck.
 */
export async function hoursRelation(
  connection: DuckDBConnection,
  asked: HoursAsked,
): Promise<FlatAnswer<{ asOf: string; notes: string[] }>> {
  return inTurn(connection, async () => {
    const state = asked.rollups === false ? null : await rollupState(connection, asked.zone);
    return answerHours(connection, asked, state);
  });
}

async function answerHours(
  connection: DuckDBConnection,
  { by = "machine", machine, all = false, ...span }: HoursAsked,
  state: RollupState | null,
): Promise<FlatAnswer<{ asOf: string; notes: string[] }>> {
  const bounds = await boundsOf(connection, span, state);
  const { tier, inside } = tierFor(by, bounds);
  const grain = by === "hour-of-week" ? "hour" : "day";
  const known: Known = { machine: machine ?? null, asOf: span.asOf.toISOString(), logFrom: bounds.log_from, zone: span.zone };
  const { factors, rates } = await learnFactors(
    connection,
    { machine: known.machine, asOf: span.asOf, zone: span.zone },
    state,
    bounds,
  );
  const windows = windowsAround(bounds, inside);
  await makePieces(connection, windows, known, grain);
  await makeMembers(connection, known, grain);
  const scope = { by, machine: known.machine, ...tier };
  await perform(connection, partsQuestion);
  await perform(connection, bucketSums, scope);
  await addWorlds(connection, scope, known, grain);
  if (state === null) await perform(connection, bucketMembers, { by });
  else await perform(connection, bucketMembersStored, scope);
  const isSettled = state !== null && state.open_from === "infinity" && Date.parse(isoText(state.reach)) <= span.asOf.getTime();
  if (!isSettled) {
    await perform(connection, bucketOpen, {
      by,
      from: bounds.from_at,
      until: bounds.until_sharp,
      machine: known.machine,
      as_of: known.asOf,
      zone: known.zone,
      open_from: state?.open_from ?? "-infinity",
    });
  }
  const whole = { from: bounds.from_at, until: bounds.until_at };
  if (rates.length > 0)
    await perform(connection, meterRates, { rates: JSON.stringify(rates), ...whole, by, zone: known.zone, grain });
  if (all) await perform(connection, bucketAll, { by, ...whole, machine: known.machine, zone: known.zone });
  const relation = await askRelation(connection, answerQuestion, {
    by,
    ...whole,
    zone: known.zone,
    factors: JSON.stringify(
      factors.map((row) => ({
        machine: row.machine,
        mean: row.mean ?? row.factor.best,
        below: (row.mean ?? row.factor.best) - row.factor.low,
        above: row.factor.high - (row.mean ?? row.factor.best),
        scatter: row.scatter,
      })),
    ),
  });
  const notes = factors.flatMap(({ machine: id, note, questions }) => [
    ...(note === null ? [] : [`${id}: ${note}`]),
    ...questions.map(({ text }) => text),
  ]);
  const workings: Workings = {
    formula:
      "enabled hours = Σ (end − start), cut at local bounds; run-hours = hours that motor events measured + run factor × the other enabled hours. Best is the mean over 100 joint worlds of unseen ends, low and high are the 10 and 90 % points",
    inputs: {
      by,
      zone: span.zone,
      from: bounds.from_at,
      until: bounds.until_at,
      asOf: isoFromDate(span.asOf),
      rollups: state === null ? "none" : tier.tier,
    },
    queries: ["stretches", "pieces", "piece-draws", "bucket-sums", "bucket-worlds", "answer"].map(
      (name) => `analytics/hours/${name}.sql`,
    ),
    notes: factors.map(
      (row) =>
        `${row.machine}: run factor ${row.factor.best.toFixed(3)} (${row.factor.low.toFixed(3)}–${row.factor.high.toFixed(3)}), ${row.why}`,
    ),
  };
  return { head: { asOf: isoFromDate(span.asOf), notes }, list: "rows", relation, workings };
}

/** What unseen ends add, from wherever there are some: a hundred columns are not planned for nothing. */
async function addWorlds(
  connection: DuckDBConnection,
  scope: Record<string, Bound>,
  known: Known,
  grain: "day" | "hour",
): Promise<void> {
  const [drawn] = await ask<{ in_stretch: boolean; in_rollups: boolean }>(connection, drawnQuestion);
  const isStored = drawn!.in_rollups && scope.tier !== "none";
  if (drawn!.in_stretch) await makeDraws(connection, known, grain);
  if (drawn!.in_stretch && isStored) await perform(connection, bucketWorldsBoth, scope);
  else if (isStored) await perform(connection, bucketWorldsStored, scope);
  else if (drawn!.in_stretch) await perform(connection, bucketWorlds, { by: scope.by! });
}

/** The same as `hoursRelation`, as the contract's JSON; `notes` are what should be put right, in words. */
export async function hours(
  connection: DuckDBConnection,
  asked: HoursAsked,
): Promise<{ asOf: string; notes: string[]; rows: HoursRow[] }> {
  const { head, relation } = await hoursRelation(connection, asked);
  return { ...head, rows: hoursRows(relation, asked.by) };
}

/** Nested rows of the relation, without what is not said of a row: hour of the week, load-hours. */
export function hoursRows(relation: FlatAnswer<object>["relation"], by: Bucket | undefined): HoursRow[] {
  const rows = rowsFromRelation<HoursRow & { hourOfWeek?: number | null }>(relation);
  for (const row of rows) {
    if (by !== "hour-of-week") delete row.hourOfWeek;
    if (row.day === null) delete row.day;
    if (row.loadHours?.best === null) delete row.loadHours;
  }
  return rows as HoursRow[];
}
