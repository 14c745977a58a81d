// Offsets of a zone as tables, made by DuckDB itself, so that one authority decides on local time.
import type { DuckDBConnection } from "@duckdb/node-api";
import { UsageError } from "../../shared/errors.ts";
import { ask, perform, question } from "../../shared/question.ts";

const hasZone = question(import.meta.url, "./has-zone.sql");
const forget = [question(import.meta.url, "./forget-zone-offsets.sql"), question(import.meta.url, "./forget-zone-changes.sql")];
const make = [
  question(import.meta.url, "./make-zone-offsets.sql"),
  question(import.meta.url, "./make-zone-changes.sql"),
  question(import.meta.url, "./note-zone.sql"),
];

/** Sees to it that `zone_offset` and `zone_change` have the zone, from 1970 to 2199. Throws UsageError for a zone that DuckDB doesn't know. */
export async function prepareZone(connection: DuckDBConnection, zone: string): Promise<void> {
  const [row] = await ask<{ known: boolean }>(connection, hasZone, { zone });
  if (row?.known === true) return;
  try {
    for (const step of [...forget, ...make]) await perform(connection, step, { zone });
  } catch (error) {
    if (!/Unknown TimeZone/i.test(error instanceof Error ? error.message : "")) throw error;
    throw new UsageError({ field: "zone", value: zone, expected: "a zone of the IANA list, like Europe/Berlin" });
  }
}
