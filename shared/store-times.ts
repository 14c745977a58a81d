// Local times as instants by the store's own zone data, which decide wherever days are counted: Node's may be older.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, question } from "./question.ts";
import { dayAfter, instantFromTyped, type TypedTime } from "./times.ts";
import { isDate, isStamp } from "./words.ts";

const localInstants = question(import.meta.url, "./store-times.sql");

/**
 * The first instants (RFC 3339 in UTC) at which a zone's clocks show local times like `2025-03-01T00:00:00`; one that they leave
 * out is moved on by the gap. Throws QueryError where the store knows no such zone.
 */
export async function instantsFromLocal(
  connection: DuckDBConnection,
  zone: string,
  locals: readonly string[],
): Promise<Map<string, string>> {
  if (locals.length === 0) return new Map();
  const rows = await ask<{ local_time: string; instant: string }>(connection, localInstants, {
    zone,
    locals: JSON.stringify(locals),
  });
  return new Map(rows.map(({ local_time, instant }) => [local_time, instant]));
}

/** As `instantFromTyped`, but by the store's zone data: where a typed day must begin just where the answer's days do. */
export async function storeInstantFromTyped(
  connection: DuckDBConnection,
  text: string,
  zone: string,
  options: TypedTime,
): Promise<Date> {
  const local = localFromTyped(text.trim(), options.side);
  if (local === undefined) return instantFromTyped(text, zone, options);
  const instant = (await instantsFromLocal(connection, zone, [local])).get(local);
  if (instant === undefined) throw new RangeError(`no instant for ${local}`);
  return new Date(instant);
}

/**
 * A typed day or time as a local time of whole seconds or less, or undefined where it has an offset or is neither. A day is its
 * first midnight, in `until` the midnight that ends it.
 */
export function localFromTyped(text: string, side: TypedTime["side"]): string | undefined {
  if (isDate(text)) return `${side === "until" ? dayAfter(text, 1) : text}T00:00:00`;
  const clock = text.slice(11);
  if (!isStamp(text) || /[Z+-]/i.test(clock)) return undefined;
  return `${text.slice(0, 10)}T${clock.length === 5 ? `${clock}:00` : clock}`;
}
