// Keeps what is derived in step with what was read: the workshop file's tables, sessions, roll-ups. Ingest and analytics don't
// know each other; here one calls for the other.
import type { DuckDBConnection } from "@duckdb/node-api";
import { keepLedger, refreshRollups } from "../analytics/index.ts";
import { deriveSessions, rulesVersion, type Touched, tellAlive, touchedByBoth } from "../ingest/index.ts";
import {
  applyWorkshop,
  ask,
  inTransaction,
  keepNote,
  noteOfStore,
  question,
  type Store,
  type WorkshopFile,
} from "../shared/index.ts";
import { storedBadgeOf } from "./stored-badge.ts";

const logSpan = question(import.meta.url, "./questions/log-span.sql");

export interface LogSpan {
  firstEvent: Date | null;
  lastEvent: Date | null;
  sessions: number;
}

/** First and last good event of the whole store, and how many sessions stand in it. */
export async function spanOfLog(connection: DuckDBConnection): Promise<LogSpan> {
  const [row] = await ask<LogSpan>(connection, logSpan);
  return row ?? { firstEvent: null, lastEvent: null, sessions: 0 };
}

/**
 * Notes, in the transaction that stored the lines, what has to be derived anew; so a process that dies between reading and
 * deriving leaves nothing behind that looks finished.
 */
export async function noteTouched(connection: DuckDBConnection, touched: Touched | null): Promise<void> {
  if (!touched) return;
  const all = touchedByBoth(parsedTouched(await noteOfStore(connection, "underived")), touched);
  await keepNote(connection, "underived", JSON.stringify(all));
}

function parsedTouched(note: string | null): Touched | null {
  if (note === null) return null;
  const { stations, from, until } = JSON.parse(note) as { stations: string[]; from: string; until: string };
  return { stations, from: new Date(from), until: new Date(until) };
}

/** How far ahead opening hours are known, for forecasts of a year. */
const horizonDays = 400;

/** The workshop file and day for which a store was last found to be in step. */
const inStep = new WeakMap<Store, string>();

/**
 * Derives whatever is behind: everything where the workshop file or the rules have changed, the touched stations and span
 * where only lines have come. Costs two small look-ups where nothing is behind.
 */
export async function bringUpToDate(
  store: Store,
  connection: DuckDBConnection,
  workshop: WorkshopFile,
  seed: number,
): Promise<LogSpan> {
  const step = `${store.generation} ${workshop.fingerprint} ${new Date().toISOString().slice(0, 10)}`;
  const isInStep = async () =>
    inStep.get(store) === step &&
    (await noteOfStore(connection, "underived")) === null &&
    (await noteOfStore(connection, "rules")) === String(rulesVersion);
  if (!(await isInStep())) {
    await store.exclusively(async () => {
      // Another writer may have done it while this one waited.
      if (await isInStep()) return;
      await inTransaction(connection, () => deriveBehind(store, connection, workshop, seed));
      const { lastEvent } = await spanOfLog(connection);
      const zone = workshop.workshop.workshop.zone;
      if (lastEvent !== null) await inTransaction(connection, () => keepLedger(connection, { asOf: lastEvent, zone, seed: 1 }));
      inStep.set(store, step);
    });
  }
  return spanOfLog(connection);
}

async function deriveBehind(store: Store, connection: DuckDBConnection, workshop: WorkshopFile, seed: number): Promise<void> {
  const storedBadge = await storedBadgeOf(store, connection, workshop, true);
  const hasChanged = await applyWorkshop(connection, workshop, { storedBadge, horizonDays });
  const isOtherRules = (await noteOfStore(connection, "rules")) !== String(rulesVersion);
  const touched = parsedTouched(await noteOfStore(connection, "underived"));
  if (!hasChanged && !isOtherRules && !touched) return;
  if (touched) await tellAlive(connection, touched);
  const { lastEvent } = await spanOfLog(connection);
  const asOf = lastEvent ?? new Date(0);
  const only = hasChanged || isOtherRules || !touched ? {} : { touched };
  await deriveSessions(connection, { asOf, seed, ...only });
  await refreshRollups(connection, { zone: workshop.workshop.workshop.zone });
  await keepNote(connection, "rules", String(rulesVersion));
  await keepNote(connection, "underived", null);
}

/** Brings roll-ups in step after a change at the bench that they take in (outages), in the caller's transaction. */
export async function refreshAfterBench(connection: DuckDBConnection, zone: string): Promise<void> {
  await refreshRollups(connection, { zone });
}

/**
 * Lets this connection answer as of `asOf`. What stands in the store is as of the last event; for an earlier moment sessions and
 * roll-ups are derived into temporary tables of the same names, which this connection sees first.
 */
export async function setAsOf(connection: DuckDBConnection, asOf: Date, lastEvent: Date | null, seed: number): Promise<void> {
  if (lastEvent === null || asOf >= lastEvent) return;
  await deriveSessions(connection, { asOf, seed, temporary: true });
}
