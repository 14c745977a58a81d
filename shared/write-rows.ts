// A table that is rewritten whole from rows at hand.
import type { DuckDBConnection } from "@duckdb/node-api";
import { perform, type Question } from "./question.ts";

export type RewrittenTable =
  | "machine"
  | "machine_station"
  | "machine_driver"
  | "workshop_meter"
  | "workshop_outage"
  | "part"
  | "task"
  | "task_limit"
  | "roster";

/** Empties the table and writes the rows by a question that takes them as `$rows`. */
export async function writeRows(
  connection: DuckDBConnection,
  table: RewrittenTable,
  asked: Question,
  rows: readonly object[],
): Promise<void> {
  await connection.run(`DELETE FROM "${table}"`);
  if (rows.length > 0) await perform(connection, asked, { rows: JSON.stringify(rows) });
}
