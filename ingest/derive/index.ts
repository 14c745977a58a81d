// Sessions, motor stretches and causes, derived from event, stretch and alive_stretch by the rules of the trade. Set-based: each
// step is a .sql file beside this one that hands on a working table; steps.ts lists them in order. Start reading at sessions.ts;
// renewal.ts derives only what new lines touched, causes.ts tells power cuts from network losses. Knows shared/ only.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, question } from "../../shared/question.ts";
import { renew, type Touched } from "./renewal.ts";
import { deriveAll, rulesVersion } from "./sessions.ts";
import { rowsOf } from "./steps.ts";

export { rulesVersion } from "./sessions.ts";

export interface Derivation {
  /** Nothing after this instant is known. */
  asOf: Date;
  /** Picks the joint worlds. */
  seed: number;
  /**
   * Where lines came, went or moved since the last derivation: only what they can affect is derived anew. Without it everything is.
   */
  touched?: Touched;
  /** Builds temporary tables that shadow the store's on this connection: an answer as of the past. */
  temporary?: boolean;
}

const derivedTables = ["session", "motor", "cause", "machine_length", "machine_pause", "silence"] as const;
const shadows = ["event", "stretch"];

/** What the store's derived tables were derived with; meta 'derived'. */
interface Derived {
  asOf: string;
  seed: number;
  rulesVersion: number;
  /** Of the workshop file's stations and groups. */
  workshop: string;
}

const derivedBefore = question(import.meta.url, "./derived.sql");
const difference = question(import.meta.url, "./difference.sql");

/**
 * Rewrites session, motor and cause (and what stands beside them: machine_length, machine_pause, silence) from event, stretch and
 * alive_stretch as of an instant, in the caller's transaction. The same lines give the same rows, ids included, whatever the order
 * in which they were read, and whether all at once or touched by touched.
 */
export async function deriveSessions(connection: DuckDBConnection, derivation: Derivation): Promise<void> {
  const { asOf, seed, touched, temporary = false } = derivation;
  await withWholeLog(connection, async () => {
    const now = asOf.toISOString();
    if (temporary) {
      for (const table of derivedTables) await connection.run(`CREATE TEMP TABLE ${table} AS FROM ${table} LIMIT 0`);
      await deriveAll(connection, now, seed);
      return;
    }
    const [fingerprint] = await rowsOf<{ fingerprint: string }>(connection, "fingerprint");
    const derived: Derived = { asOf: now, seed, rulesVersion, workshop: fingerprint?.fingerprint ?? "" };
    const before = await lastDerived(connection);
    const renewable =
      before?.seed === seed && before.rulesVersion === rulesVersion && before.workshop === derived.workshop && before.asOf <= now;
    if (!(touched && renewable && (await renew(connection, touched, now, before.asOf, seed)))) {
      await dropShadows(connection);
      await connection.run("DROP TABLE IF EXISTS temp.session");
      for (const table of derivedTables) await connection.run(`DELETE FROM ${table}`);
      await deriveAll(connection, now, seed);
    }
    await connection.run("INSERT OR REPLACE INTO meta VALUES ('derived', $derived)", { derived: JSON.stringify(derived) });
  });
}

async function lastDerived(connection: DuckDBConnection): Promise<Derived | undefined> {
  const [row] = await ask<{ value: string }>(connection, derivedBefore);
  return row && (JSON.parse(row.value) as Derived);
}

/** Names the whole log, so that a step can read beyond the lines that are walked, and clears what shadows the store's tables. */
async function withWholeLog(connection: DuckDBConnection, work: () => Promise<void>): Promise<void> {
  await dropShadows(connection);
  for (const table of derivedTables) await connection.run(`DROP TABLE IF EXISTS temp.${table}`);
  for (const table of shadows)
    await connection.run(`CREATE OR REPLACE TEMP VIEW whole_${table} AS ${await storedTable(connection, table)}`);
  await work();
  await dropShadows(connection);
}

async function storedTable(connection: DuckDBConnection, table: string): Promise<string> {
  const reader = await connection.runAndReadAll("SELECT current_database()");
  return `FROM "${String(reader.getRows()[0]?.[0]).replaceAll('"', '""')}".main.${table}`;
}

async function dropShadows(connection: DuckDBConnection): Promise<void> {
  for (const table of shadows) await connection.run(`DROP TABLE IF EXISTS temp.${table}`);
}

export interface Verification {
  ok: boolean;
  /** Rows that the store lacks or has beyond what follows from its log, by table. */
  tables: { table: string; missing: number; extra: number }[];
}

/** Derives everything anew beside the store's tables and compares; an empty store, or one never derived, is ok if its tables are empty. */
export async function verifyDerivation(connection: DuckDBConnection): Promise<Verification> {
  const before = await lastDerived(connection);
  const tables: Verification["tables"] = [];
  if (before) await deriveSessions(connection, { asOf: new Date(before.asOf), seed: before.seed, temporary: true });
  for (const table of derivedTables) {
    const stored = await storedTable(connection, table);
    const anew = before ? `FROM temp.${table}` : `${stored} LIMIT 0`;
    await connection.run(`CREATE OR REPLACE TEMP VIEW stored_rows AS ${stored}`);
    await connection.run(`CREATE OR REPLACE TEMP VIEW anew_rows AS ${anew}`);
    const [row] = await ask<{ missing: number; extra: number }>(connection, difference);
    tables.push({ table, missing: row?.missing ?? 0, extra: row?.extra ?? 0 });
  }
  await connection.run("DROP VIEW stored_rows");
  await connection.run("DROP VIEW anew_rows");
  for (const table of derivedTables) await connection.run(`DROP TABLE IF EXISTS temp.${table}`);
  return { ok: tables.every(({ missing, extra }) => missing === 0 && extra === 0), tables };
}
