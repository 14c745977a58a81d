// Names of machines and groups that a question asks about: one that nothing has is a slip, and told as such.
import type { DuckDBConnection } from "@duckdb/node-api";
import { UsageError } from "../shared/errors.ts";
import { oneOf } from "../shared/problem.ts";
import { ask, question } from "../shared/question.ts";

const knownNames = question(import.meta.url, "./questions/known-names.sql");

/** Throws UsageError for a `machine` or `group` among the options that neither the workshop file nor the log knows. */
export async function refuseUnknownNames(connection: DuckDBConnection, options: Record<string, unknown>): Promise<void> {
  for (const kind of ["machine", "group"] as const) {
    const asked = options[kind];
    if (typeof asked !== "string") continue;
    const rows = await ask<{ name: string; kind: string }>(connection, knownNames, { asked });
    const names = rows.filter((row) => row.kind === kind).map(({ name }) => name);
    if (names.includes(asked)) continue;
    const expected = names.length === 0 ? `a ${kind} of the workshop file; there is none` : oneOf(names, asked);
    throw new UsageError({ field: kind, value: asked, expected });
  }
}
