// A whole question is one .sql file; this asks it, with values bound, and gives plain rows.
import { readFileSync } from "node:fs";
import { basename } from "node:path";
import { fileURLToPath } from "node:url";
import type { DuckDBConnection, DuckDBValue } from "@duckdb/node-api";

/** What may be bound: instants as Date or RFC 3339 text (cast in the SQL), lists as JSON text. */
export type Bound = string | number | bigint | boolean | Date | null;

export interface Question {
  readonly file: string;
  readonly sql: string;
}

/** `question(import.meta.url, "./hours.sql")`: read once, at import. */
export function question(base: string, path: string): Question {
  const url = new URL(path, base);
  return { file: basename(fileURLToPath(url)), sql: readFileSync(url, "utf8") };
}

/** An error from a query carries the query's file and its cause. */
export class QueryError extends Error {
  readonly file: string;
  constructor(file: string, cause: unknown) {
    super(`${file}: ${cause instanceof Error ? cause.message : String(cause)}`, { cause });
    this.name = "QueryError";
    this.file = file;
  }
}

/**
 * Rows of an answer as plain objects. Instants come as Date, dates as Date at UTC midnight, lists as arrays; cast counts and
 * sums in the SQL (`::int`, `::double`), since a BIGINT comes as bigint.
 */
export async function ask<Row>(
  connection: DuckDBConnection,
  asked: Question,
  values: Record<string, Bound> = {},
): Promise<Row[]> {
  try {
    const reader = await connection.runAndReadAll(asked.sql, bindable(values));
    return reader.getRowObjectsJS() as Row[];
  } catch (error) {
    throw new QueryError(asked.file, error);
  }
}

/** Runs a question for its effect (insert, update, create). */
export async function perform(connection: DuckDBConnection, asked: Question, values: Record<string, Bound> = {}): Promise<void> {
  try {
    await connection.run(asked.sql, bindable(values));
  } catch (error) {
    throw new QueryError(asked.file, error);
  }
}

export function bindable(values: Record<string, Bound>): Record<string, DuckDBValue> | undefined {
  const entries = Object.entries(values).map(
    ([name, value]) => [name, value instanceof Date ? value.toISOString() : value] as const,
  );
  return entries.length === 0 ? undefined : Object.fromEntries(entries);
}
