// The DuckDB file behind everything: opened once, locked down, brought up to date; one connection per request.
import { closeSync, fsyncSync, linkSync, mkdirSync, openSync, readFileSync, renameSync, rmSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { type DuckDBConnection, DuckDBInstance } from "@duckdb/node-api";
import { makeDoor } from "./door.ts";
import { FailedError } from "./errors.ts";
import { copyDatabase } from "./store-copy.ts";
import { openedWithoutTear } from "./torn-log.ts";

export interface Store {
  readonly path: string;
  /** Folder beside the store that DuckDB may read and write: spooled logs, spill, copies on their way out. */
  readonly workDir: string;
  /** A connection of one's own; `closeSync()` it in a finally. */
  connect(): Promise<DuckDBConnection>;
  /** Runs writers one after the other, so that none meets another's half-done work. */
  exclusively<T>(work: () => Promise<T>): Promise<T>;
  /** Work that holds one connection while it asks for others: nobody puts another file in the store's place meanwhile. */
  stay<T>(work: () => Promise<T>): Promise<T>;
  /**
   * Puts another file in the store's place, at once and whole, while nobody else is inside; those who come wait. `make` gives the
   * file's path in the work folder; the caller's own connections must be closed by then. `aside` keeps what was there under
   * another name. Throws FailedError where others stay inside for too long; the store is as it was.
   */
  replace(make: () => Promise<string>, aside?: string): Promise<void>;
  /** Counts up whenever another file was put in the store's place. */
  readonly generation: number;
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

/** The number of the last migration. */
export const latestSchema = (): number => migrations().at(-1)?.number ?? 0;

/** Brings the tables up to date; a store of an older version is kept beside it as it was (`almanac.duckdb.schema-8`). */
async function migrate(connection: DuckDBConnection, file: string, workDir: string, isPassing: boolean): Promise<void> {
  const known = await connection.runAndReadAll(
    "SELECT 1 FROM duckdb_tables() WHERE table_name = 'meta' AND NOT temporary AND database_name = current_database()",
  );
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
  const kept = have > 0 && missing.length > 0 && !isPassing ? `${file}.schema-${have}` : null;
  if (kept !== null) {
    const made = join(workDir, `schema-${have}.duckdb`);
    await copyDatabase(connection, made);
    renameSync(made, kept);
  }
  for (const { number, sql } of missing) {
    await inTransaction(connection, async () => {
      await connection.run(sql);
      await connection.run("INSERT OR REPLACE INTO meta VALUES ('schema', $number)", { number: String(number) });
    });
  }
  // Out of the write-ahead log and into the file: a macro's definition can't be replayed from the log after a crash.
  if (missing.length > 0) await connection.run("CHECKPOINT");
  if (kept !== null) await noteCopy(connection, { kind: "before migration", path: kept, madeAt: new Date() });
}

/** A copy of what the store holds (backup, export, store of an older version), so that it is known where a member may still stand. */
export interface Copy {
  kind: "backup" | "export" | "before migration" | "before restore" | "rescue";
  path: string;
  madeAt: Date;
  bytes?: number;
  sha256?: string;
}

/** Notes a copy; another of the same path takes its place. */
export async function noteCopy(connection: DuckDBConnection, copy: Copy): Promise<void> {
  const { kind, path, madeAt, bytes = null, sha256 = null } = copy;
  await connection.run("DELETE FROM copy_made WHERE path = $path", { path });
  await connection.run("INSERT INTO copy_made VALUES ($kind, $path, $madeAt::timestamptz, $bytes::bigint, $sha256)", {
    kind,
    path,
    madeAt: madeAt.toISOString(),
    bytes,
    sha256,
  });
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
  /** A copy that is not worth keeping as it was before its tables are brought up to date. */
  isPassing?: boolean;
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
  const opened = async (): Promise<DuckDBInstance> => {
    const create = () => DuckDBInstance.create(file, options.memory ? { memory_limit: options.memory } : {});
    try {
      return await create().catch((error: unknown) => openedWithoutTear(`${file}.wal`, error, create));
    } catch (error) {
      throw storeError(file, error);
    }
  };
  const prepared = async (instance: DuckDBInstance): Promise<DuckDBInstance> => {
    try {
      const connection = await instance.connect();
      await connection.run("SET GLOBAL timezone = 'UTC'");
      await connection.run(`SET GLOBAL temp_directory = '${quoted(`${workDir}/spill`)}'`);
      await connection.run(`SET GLOBAL allowed_directories = ['${quoted(workDir)}']`);
      await connection.run("SET GLOBAL enable_external_access = false");
      await migrate(connection, file, workDir, inMemory || options.isPassing === true);
      await connection.run("SET GLOBAL lock_configuration = true");
      connection.closeSync();
      return instance;
    } catch (error) {
      instance.closeSync();
      throw error instanceof FailedError ? error : storeError(file, error);
    }
  };
  let instance = await opened();
  // The store is ours now, so whatever lies in its work folder was left by a process that died.
  rmSync(workDir, { recursive: true, force: true });
  mkdirSync(workDir, { recursive: true });
  instance = await prepared(instance);

  const door = makeDoor();
  let generation = 0;
  let lastWriter: Promise<unknown> = Promise.resolve();
  let reopening: Promise<void> | null = null;
  // A write that failed in the middle of a commit (a full disk) leaves DuckDB deaf to everything until it is opened anew; what was
  // committed before is on the disk.
  const soundConnection = async (): Promise<DuckDBConnection> => {
    const connection = await instance.connect();
    try {
      await connection.run("SELECT 1");
      return connection;
    } catch (error) {
      connection.closeSync();
      if (inMemory || !/has been invalidated/.test(String(error))) throw error;
      reopening ??= (async () => {
        instance.closeSync();
        instance = await prepared(await openedSoon(opened));
        generation += 1;
      })().finally(() => {
        reopening = null;
      });
      await reopening;
      return instance.connect();
    }
  };
  const connect = async (): Promise<DuckDBConnection> => {
    const leave = await door.enter();
    try {
      const connection = await soundConnection();
      const close = connection.closeSync.bind(connection);
      connection.closeSync = () => {
        close();
        leave();
      };
      return connection;
    } catch (error) {
      leave();
      throw error;
    }
  };
  return {
    path: file,
    workDir,
    connect,
    exclusively(work) {
      const turn = lastWriter.then(work, work);
      lastWriter = turn.catch(() => undefined);
      return turn;
    },
    stay: door.stay,
    replace: (make, aside) =>
      door.alone(async () => {
        if (inMemory) throw new RangeError("a store in memory has no file that another could stand in for");
        const made = await make();
        const connection = await instance.connect();
        // What is only in the write-ahead log goes into the old file; a damaged store may be beyond that.
        if (aside !== undefined) await connection.run("CHECKPOINT").catch(() => undefined);
        connection.closeSync();
        if (aside !== undefined) {
          rmSync(aside, { force: true });
          linkSync(file, aside);
        }
        putInPlace(made, file, () => instance.closeSync());
        generation += 1;
        instance = await prepared(await openedSoon(opened));
      }, patienceMs),
    get generation() {
      return generation;
    },
    close() {
      instance.closeSync();
      if (inMemory) rmSync(workDir, { recursive: true, force: true });
    },
  };
}

/** How long others may stay inside before a rewriting gives up. */
const patienceMs = 120_000;

/**
 * Renames a whole file into a store's place; `letGo` closes the one that was there, whose write-ahead log is not the new one's. On
 * disk before it returns, as far as the system keeps its word.
 */
export function putInPlace(made: string, file: string, letGo: () => void): void {
  renameSync(made, file);
  letGo();
  rmSync(`${file}.wal`, { force: true });
  const folder = openSync(dirname(file), "r");
  try {
    fsyncSync(folder);
  } finally {
    closeSync(folder);
  }
}

/** Another process that waited for the store may have it for a moment between the two files. */
async function openedSoon(opened: () => Promise<DuckDBInstance>): Promise<DuckDBInstance> {
  for (let triesLeft = 50; ; triesLeft -= 1) {
    try {
      return await opened();
    } catch (error) {
      if (!isHeld(error) || triesLeft === 0) throw error;
      await new Promise((done) => setTimeout(done, 200));
    }
  }
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
  const wayBack = /Corrupt|checksum|enough bytes/i.test(message)
    ? "; `almanac restore FILE --replace` puts a backup in its place"
    : "";
  const expected = `a store that can be opened (${message.split("\n")[0]})${wayBack}`;
  return new FailedError({ field: "store", value: file, expected }, error);
}

const quoted = (text: string): string => text.replaceAll("'", "''");
