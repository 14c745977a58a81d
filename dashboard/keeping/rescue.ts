// Saves what can still be read of a damaged store into a new one, row group by row group, and says what is lost.
import { copyFileSync, existsSync, renameSync, rmSync } from "node:fs";
import { join } from "node:path";
import type { DuckDBConnection } from "@duckdb/node-api";
import { FailedError, UsageError } from "../../shared/errors.ts";
import { ask, question } from "../../shared/question.ts";
import { keepNote, openStore, type Store } from "../../shared/store.ts";
import { quotedName } from "../../shared/store-copy.ts";
import { look } from "../access/turn.ts";
import { tablesOf } from "./rows.ts";

const columnsOf = question(import.meta.url, "./columns.sql");

export interface Saved {
  table: string;
  rows: number;
  saved: number;
  /** Rows of which a cell or more is unknown now. */
  patchy: number;
  lost: number;
}

/** Lines that can be read from the logs again: one with an unknown cell would stand beside the one that is read again. */
const fromTheLog = new Set(["event", "stretch", "alive_hour", "alive_odd", "reject"]);
/** Made anew from the rest by the first command, or of no use outside a reading. */
const madeAnew = /^(rollup|log_|session$|motor$|cause$|silence$|machine_length$|machine_pause$|alive_stretch$|zone_|world$)/;
/** Rows that DuckDB keeps together, and those of one vector. */
const [groupRows, vectorRows] = [122_880, 2_048];

/** `target` is a new file. Throws UsageError where something is there, FailedError where not even the tables' list can be read. */
export async function rescue(path: string, target: string, held: Store | undefined): Promise<Saved[]> {
  if (existsSync(target)) throw new UsageError({ field: "file", value: target, expected: "a path where nothing is yet" });
  if (!held && !existsSync(path)) throw new UsageError({ field: "store", value: path, expected: "a store" });
  const store = held ?? (await openStore(path));
  const made = join(store.workDir, "rescued.duckdb");
  try {
    rmSync(made, { force: true });
    const fresh = await openStore(made, { isPassing: true });
    // The new store's own schema note stands; of the old one's notes come those that can be read.
    fresh.close();
    const saved = await look(store, (connection) => saveInto(connection, made));
    const checked = await openStore(made, { isPassing: true });
    await look(checked, async (connection) => {
      for (const note of ["workshop", "rules", "underived", "opening"]) await keepNote(connection, note, null);
    });
    checked.close();
    putAt(made, target);
    return saved;
  } finally {
    rmSync(`${made}.work`, { recursive: true, force: true });
    if (!held) store.close();
  }
}

function putAt(made: string, target: string): void {
  try {
    renameSync(made, target);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "EXDEV")
      throw new FailedError({ field: "file", value: target, expected: "a path that can be written" }, error);
    copyFileSync(made, target);
    rmSync(made, { force: true });
  }
}

async function saveInto(connection: DuckDBConnection, made: string): Promise<Saved[]> {
  await connection.run(`ATTACH '${made.replaceAll("'", "''")}' AS rescued`);
  try {
    const saved: Saved[] = [];
    for (const table of await tablesOf(connection)) {
      if (madeAnew.test(table)) continue;
      saved.push(await saveTable(connection, table));
    }
    return saved;
  } finally {
    await connection.run("DETACH rescued");
  }
}

const countOf = async (connection: DuckDBConnection, sql: string): Promise<number> =>
  Number((await connection.runAndReadAll(sql)).getRows()[0]?.[0] ?? 0);

async function saveTable(connection: DuckDBConnection, table: string): Promise<Saved> {
  const name = quotedName(table);
  const into = `rescued.${name}`;
  const columns = await ask<{ column_name: string; is_nullable: boolean }>(connection, columnsOf, { table });
  const list = columns.map(({ column_name }) => quotedName(column_name)).join(", ");
  await connection.run(`DELETE FROM ${into}`);
  const last = await countOf(connection, `SELECT max(rowid)::double FROM ${name}`);
  const rows = await countOf(connection, `SELECT count(*)::double FROM ${name}`);
  const saved: Saved = { table, rows, saved: 0, patchy: 0, lost: 0 };
  const isWhole = await connection.run(`INSERT INTO ${into} (${list}) SELECT ${list} FROM ${name}`).then(
    () => true,
    () => false,
  );
  if (isWhole) return { ...saved, saved: rows };

  const unreadable = async (from: number, until: number, among: typeof columns) => {
    const bad: typeof columns = [];
    for (const column of among) {
      const sql = `SELECT max(hash(${quotedName(column.column_name)})) FROM ${name} WHERE rowid >= ${from} AND rowid < ${until}`;
      await connection.run(sql).catch(() => bad.push(column));
    }
    return bad;
  };
  const save = async (from: number, until: number, bad: typeof columns) => {
    const within = `FROM ${name} WHERE rowid >= ${from} AND rowid < ${until}`;
    const isKept = bad.length === 0 || (!fromTheLog.has(table) && bad.every(({ is_nullable }) => is_nullable));
    if (!isKept) return;
    const badNames = new Set(bad.map(({ column_name }) => column_name));
    const cells = columns.map(({ column_name }) => (badNames.has(column_name) ? "NULL" : quotedName(column_name))).join(", ");
    const { rowsChanged } = await connection.run(`INSERT INTO ${into} (${list}) SELECT ${cells} ${within}`);
    saved.saved += rowsChanged;
    if (bad.length > 0) saved.patchy += rowsChanged;
  };
  for (let from = 0; from <= last; from += groupRows) {
    const bad = await unreadable(from, from + groupRows, columns);
    if (bad.length === 0) await save(from, from + groupRows, []);
    else {
      for (let at = from; at < from + groupRows && at <= last; at += vectorRows)
        await save(at, at + vectorRows, await unreadable(at, at + vectorRows, bad));
    }
  }
  return { ...saved, lost: rows - saved.saved };
}
