// Local days by the store's own zone data.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, question } from "../../shared/question.ts";

const localDaysQuestion = question(import.meta.url, "./local-days.sql");

/** A look-up of the local day (yyyy-mm-dd) of each of the instants given. */
export async function localDays(
  connection: DuckDBConnection,
  zone: string,
  instants: readonly string[],
): Promise<(instant: string) => string> {
  const rows = await ask<{ instant: string; day: string }>(connection, localDaysQuestion, {
    zone,
    instants: JSON.stringify(instants),
  });
  const days = new Map(rows.map(({ instant, day }) => [instant, day]));
  return (instant) => {
    const day = days.get(instant);
    if (day === undefined) throw new RangeError(`the local day of ${instant} was not asked for`);
    return day;
  };
}
