// What every entry at the bench has in common: a number, the key it was sent with, and the moment it was made.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, inTransaction, perform, question, storeInstantFromTyped, UsageError } from "../../shared/index.ts";
import type { Desk } from "../commands/command.ts";

const nextIds = question(import.meta.url, "./next-id.sql");
const keyRead = question(import.meta.url, "./key-read.sql");
const keyWrite = question(import.meta.url, "./key-write.sql");

export type EntryKind = "service" | "outage" | "stock" | "note";

/** Work of one writer at a time, all of it kept or none. */
export const entering = <T>({ store, connection }: Desk, work: () => Promise<T>): Promise<T> =>
  store.exclusively(() => inTransaction(connection, work));

export async function nextId(connection: DuckDBConnection, kind: EntryKind): Promise<number> {
  const [row] = await ask<Record<EntryKind, number>>(connection, nextIds);
  return row![kind];
}

/** The entry that a key was used for before; null where it is new, or there is none. Throws UsageError for another kind's key. */
export async function entryOfKey(connection: DuckDBConnection, kind: EntryKind, key: string | undefined): Promise<number | null> {
  if (key === undefined) return null;
  const [row] = await ask<{ kind: EntryKind; id: number }>(connection, keyRead, { key });
  if (row === undefined) return null;
  if (row.kind !== kind)
    throw new UsageError({ field: "key", value: key, expected: `a key of its own; this one is a ${row.kind}'s` });
  return row.id;
}

export async function keepKey(
  connection: DuckDBConnection,
  kind: EntryKind,
  id: number,
  key: string | undefined,
  at: Date,
): Promise<void> {
  if (key !== undefined) await perform(connection, keyWrite, { key, kind, id, at });
}

/** A clock may run a little ahead of ours. */
const AHEAD_MS = 5 * 60_000;

/** A typed time in the workshop's zone that is not ahead of now. */
export async function pastInstant(
  { connection, span }: Desk,
  text: string,
  { field, side, now }: { field: string; side: "instant" | "until"; now: Date },
): Promise<Date> {
  const instant = await storeInstantFromTyped(connection, text, span.zone, { field, side, now });
  if (side === "until" && instant > now) return now;
  if (instant.getTime() > now.getTime() + AHEAD_MS) {
    throw new UsageError({ field, value: text, expected: "a time that is past: what is planned is not done" });
  }
  return instant;
}
