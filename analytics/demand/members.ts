// Who comes and who can't: refusals and permissions by machine, how many members a machine reaches.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, question } from "../../shared/question.ts";
import type { Span } from "../hours/asked.ts";

const refusalsQuestion = question(import.meta.url, "./refusals.sql");
const trainedQuestion = question(import.meta.url, "./trained.sql");
const reachQuestion = question(import.meta.url, "./reach.sql");

export interface Refusals {
  machine: string;
  /** First local day of the month, YYYY-MM-DD. */
  month: string;
  refusals: number;
  members: number;
}

export interface Trained {
  machine: string;
  name: string;
  refusedMembers: number;
  trained: number;
  neverSeen: number;
  runningOut: number;
}

export interface Reach {
  machine: string;
  members: number;
  /** How many the busiest tenth are. */
  busiest: number;
  hours: number;
  busiestShare: number | null;
}

const valuesOf = ({ since, until, asOf, zone }: Span) => ({ since: since ?? null, until: until ?? null, as_of: asOf, zone });

/** Refused badges by machine and month; months without one have no row. */
export async function refusalsByMonth(connection: DuckDBConnection, span: Span): Promise<Refusals[]> {
  const rows = await ask<Omit<Refusals, "month"> & { month: Date }>(connection, refusalsQuestion, valuesOf(span));
  return rows.map(({ month, ...row }) => ({ ...row, month: month.toISOString().slice(0, 10) }));
}

/** Permissions by machine on the day of the as-of time. */
export async function trainedMembers(
  connection: DuckDBConnection,
  { asOf, zone }: Pick<Span, "asOf" | "zone">,
  soonDays: number,
): Promise<Trained[]> {
  type Row = { machine: string; name: string; refused_members: number; trained: number; never_seen: number; running_out: number };
  const rows = await ask<Row>(connection, trainedQuestion, { as_of: asOf, zone, soon_days: soonDays });
  return rows.map(({ machine, name, refused_members, trained, never_seen, running_out }) => ({
    machine,
    name,
    refusedMembers: refused_members,
    trained,
    neverSeen: never_seen,
    runningOut: running_out,
  }));
}

/** Members by machine over the span, or over the given stretches of it alone. */
export async function reachOf(
  connection: DuckDBConnection,
  span: Span,
  cells?: readonly { machine: string; from: Date; until: Date }[],
): Promise<Reach[]> {
  type Row = { machine: string; members: number; busiest: number; hours: number; busiest_hours: number };
  const rows = await ask<Row>(connection, reachQuestion, {
    ...valuesOf(span),
    cells: cells === undefined ? null : JSON.stringify(cells),
  });
  return rows.map(({ busiest_hours, ...row }) => ({ ...row, busiestShare: row.hours > 0 ? busiest_hours / row.hours : null }));
}

/**
 * How refusals change, as a ratio of the later half of the months to the earlier half, with the 10 and 90 % points (normal, on the
 * logarithm; half a refusal is added to each). Null under eight refusals in all.
 */
export function refusalTrend(counts: readonly number[]): { low: number; best: number; high: number } | null {
  const half = Math.floor(counts.length / 2);
  const sum = (values: readonly number[]): number => values.reduce((total, one) => total + one, 0);
  const [earlier, later] = [sum(counts.slice(0, half)), sum(counts.slice(counts.length - half))];
  if (half === 0 || earlier + later < 8) return null;
  const best = Math.log((later + 0.5) / (earlier + 0.5));
  const reach = 1.2816 * Math.sqrt(1 / (later + 0.5) + 1 / (earlier + 0.5));
  return { low: Math.exp(best - reach), best: Math.exp(best), high: Math.exp(best + reach) };
}
