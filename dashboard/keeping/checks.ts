// What is held against a store: that all of it can be read, that its counts add up, that its sessions follow from its lines.
import type { DuckDBConnection } from "@duckdb/node-api";
import { verifyDerivation } from "../../ingest/index.ts";
import { ask, question } from "../../shared/question.ts";
import { noteOfStore } from "../../shared/store.ts";
import { quotedName } from "../../shared/store-copy.ts";
import { tablesOf } from "./rows.ts";

const unevenReadings = question(import.meta.url, "../questions/uneven-readings.sql");

export interface Check {
  name: string;
  ok: boolean;
  detail: string | null;
}

/** A damaged block is noticed only when it is read: so every column of every table is. Gives the tables that can't be, and why. */
export async function unreadableTables(connection: DuckDBConnection): Promise<{ tables: string[]; unreadable: string[] }> {
  const tables = await tablesOf(connection);
  const unreadable: string[] = [];
  for (const name of tables) {
    await connection.run(`SELECT max(hash(COLUMNS(*))) FROM ${quotedName(name)}`).catch((error: unknown) => {
      unreadable.push(`${name}: ${error instanceof Error ? error.message.split("\n")[0] : error}`);
    });
  }
  return { tables, unreadable };
}

const wayBack =
  "; `almanac restore FILE --replace` puts a backup in its place, `almanac rescue FILE` saves what can still be read of it";

export async function checkStore(connection: DuckDBConnection): Promise<Check[]> {
  const checks: Check[] = [];
  const { tables, unreadable } = await unreadableTables(connection);
  checks.push({
    name: "every table can be read",
    ok: unreadable.length === 0,
    detail: unreadable.length > 0 ? `${unreadable.join("; ")}${wayBack}` : `${tables.length} tables`,
  });

  const [uneven] = await ask<{ readings: number }>(connection, unevenReadings).catch(() => []);
  checks.push({
    name: "the five counts of every reading add up",
    ok: uneven?.readings === 0,
    detail: uneven === undefined ? "they can't be read" : uneven.readings > 0 ? `${uneven.readings} readings don't` : null,
  });

  if (unreadable.length === 0) {
    const { ok, tables: derived } = await verifyDerivation(connection);
    const off = derived.filter(({ missing, extra }) => missing + extra > 0);
    const detail = off.map(({ table, missing, extra }) => `${table}: ${missing} rows missing, ${extra} too many`).join("; ");
    checks.push({ name: "sessions are what follows from the log", ok, detail: detail || null });
  }

  const isUnwritten = (await noteOfStore(connection, "rewrite").catch(() => null)) !== null;
  checks.push({
    name: "nothing of the forgotten is left in deleted rows",
    ok: !isUnwritten,
    detail: isUnwritten ? "the store has still to be written anew; `almanac serve` does it when it starts" : null,
  });
  return checks;
}
