// The DuckDB file behind everything: opened once, locked down, brought up to date; one connection per request.
import { mkdirSync, readFileSync, rmSync } from "node:fs";
import { dirname, resolve } from "node:path";
import { type DuckDBConnection, DuckDBInstance } from "@duckdb/node-api";
import { FailedError } from "./errors.ts";

export interface Store {
  readonly path: string;
  /** Folder beside the store that DuckDB may read and write: spooled logs, spill, copies on their way out. */
  readonly workDir: string;
  /** A connection of one's own; `closeSync()` it in a finally. */
  connect(): Promise<DuckDBConnection>;
  /** Runs writers one after the other, so that none meets another's half-done work. */
  exclusively<T>(work: () => Promise<T>): Promise<T>;
  close(): void;
}

interface Migration {
  number: number;
  sql: string;
}

function migrations(): Migration[] {
  const text = readFileSync(new URL("./schema.sql", import.meta.url), "utf8");
  return text
    .split(/^(?=-- migration \d+:)/m)
    .slice(1)
    .map((sql) => ({ number: Number(/^-- migration (\d+):/.exec(sql)?.[1]), sql }));
}

async function migrate(connection: DuckDBConnection): Promise<void> {
  const known = await connection.runAndReadAll("SELECT 1 FROM duckdb_tables() WHERE table_name = 'meta' AND NOT temporary");
  const stamp = known.currentRowCount
    ? (await connection.runAndReadAll("SELECT value FROM meta WHERE key = 'schema'")).getRows()[0]?.[0]
    : "0";
  const have = Number(stamp ?? 0);
  const all = migrations();
  const latest = all.at(-1)?.number ?? 0;
  if (have > latest) {
    throw new FailedError({
      field: "store",
      value: `schema ${have}`,
      expected: `schema ${latest} or older; this store was written by a newer Workshop Almanac, update first`,
    });
  }
  const missing = all.filter((migration) => migration.number > have);
  for (const { number, sql } of missing) {
    await inTransaction(connection, async () => {
      await connection.run(sql);
      await connection.run("INSERT OR REPLACE INTO meta VALUES ('schema', $number)", { number: String(number) });
    });
  }
  // Out of the write-ahead log and into the file: a macro's definition can't be replayed from the log after a crash.
  if (missing.length > 0) await connection.run("CHECKPOINT");
}

/** Runs work in one transaction: all of it is kept, or none. */
export async function inTransaction<T>(connection: DuckDBConnection, work: () => Promise<T>): Promise<T> {
  await connection.run("BEGIN TRANSACTION");
  try {
    const answer = await work();
    await connection.run("COMMIT");
    return answer;
  } catch (error) {
    // A failed statement may have ended the transaction already; the first error is the one to tell.
    await connection.run("ROLLBACK").catch(() => undefined);
    throw error;
  }
}

/** One note that the store keeps about itself (schema, workshop fingerprint, what is not derived yet); null where there is none. */
export async function noteOfStore(connection: DuckDBConnection, key: string): Promise<string | null> {
  const reader = await connection.runAndReadAll("SELECT value FROM meta WHERE key = $key", { key });
  return (reader.getRows()[0]?.[0] as string | undefined) ?? null;
}

/** Writes such a note; null takes it away. */
export async function keepNote(connection: DuckDBConnection, key: string, value: string | null): Promise<void> {
  if (value === null) await connection.run("DELETE FROM meta WHERE key = $key", { key });
  else await connection.run("INSERT OR REPLACE INTO meta VALUES ($key, $value)", { key, value });
}

/** `memory` is DuckDB's limit (`256MB`), its default where not given. */
export interface StoreOptions {
  memory?: string;
}

/**
 * Opens or makes the store at `path` (`:memory:` for one that is gone afterwards), shuts DuckDB off from all files but its own
 * and the work folder, and brings its tables up to date. Throws FailedError for a damaged, foreign or held store.
 */
export async function openStore(path: string, options: StoreOptions = {}): Promise<Store> {
  const inMemory = path === ":memory:";
  const file = inMemory ? path : resolve(path);
  const workDir = inMemory ? resolve(process.env.TMPDIR ?? "/tmp", `almanac-${process.pid}.work`) : `${file}.work`;
  mkdirSync(inMemory ? workDir : dirname(file), { recursive: true });
  let instance: DuckDBInstance;
  try {
    instance = await DuckDBInstance.create(file, options.memory ? { memory_limit: options.memory } : {});
  } catch (error) {
    throw storeError(file, error);
  }
  try {
    const connection = await instance.connect();
    // The store is ours now, so whatever lies in its work folder was left by a process that died.
    rmSync(workDir, { recursive: true, force: true });
    mkdirSync(workDir, { recursive: true });
    await connection.run("SET GLOBAL timezone = 'UTC'");
    await connection.run(`SET GLOBAL temp_directory = '${quoted(`${workDir}/spill`)}'`);
    await connection.run(`SET GLOBAL allowed_directories = ['${quoted(workDir)}']`);
    await connection.run("SET GLOBAL enable_external_access = false");
    await migrate(connection);
    await connection.run("SET GLOBAL lock_configuration = true");
    connection.closeSync();
  } catch (error) {
    instance.closeSync();
    throw error instanceof FailedError ? error : storeError(file, error);
  }
  let lastWriter: Promise<unknown> = Promise.resolve();
  return {
    path: file,
    workDir,
    connect: () => instance.connect(),
    exclusively(work) {
      const turn = lastWriter.then(work, work);
      lastWriter = turn.catch(() => undefined);
      return turn;
    },
    close() {
      instance.closeSync();
      if (inMemory) rmSync(workDir, { recursive: true, force: true });
    },
  };
}

/** Whether an error says that another process holds the store. */
export const isHeld = (error: unknown): boolean => error instanceof FailedError && error.complaint.field === "store-held";

function storeError(file: string, error: unknown): FailedError {
  const message = error instanceof Error ? error.message : String(error);
  if (/Conflicting lock|Could not set lock/.test(message)) {
    const holder = /PID (\d+)/.exec(message)?.[1];
    const expected = `a store that no other process holds${holder ? ` (process ${holder} has it)` : ""}`;
    return new FailedError({ field: "store-held", value: file, expected }, error);
  }
  if (/not a valid DuckDB database/.test(message)) {
    return new FailedError(
      { field: "store", value: file, expected: "a store made by Workshop Almanac, or a path where none is yet" },
      error,
    );
  }
  const expected = `a store that can be opened (${message.split("\n")[0]})`;
  return new FailedError({ field: "store", value: file, expected }, error);
}

const quoted = (text: string): string => text.replaceAll("'", "''");
