// Helpers of the ingest tests: a store in a folder of its own, logs as text, and what became of them.
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { DuckDBConnection } from "@duckdb/node-api";
import { type Account, ingestFile, tellAlive } from "../../ingest/index.ts";
import { houseProfile, type Profile, profileFromText } from "../../shared/profile.ts";
import { inTransaction, openStore, type Store } from "../../shared/store.ts";

export interface Bench {
  folder: string;
  store: Store;
  connection: DuckDBConnection;
  close(): void;
}

export async function openBench(): Promise<Bench> {
  const folder = mkdtempSync(join(tmpdir(), "almanac-ingest-"));
  const store = await openStore(join(folder, "almanac.duckdb"), { memory: "400MB" });
  const connection = await store.connect();
  return {
    folder,
    store,
    connection,
    close: () => {
      connection.closeSync();
      store.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

export const house = houseProfile("csv");

/** The house format with other words on top. */
export const profileOf = (yaml: string): Profile => profileFromText("profile.yaml", yaml);

export interface Reading {
  profile?: Profile;
  zone?: string;
  storedBadge?: (badge: string) => string;
}

/** Ingests a file as it is called, in a transaction of its own. */
export async function ingestPath(bench: Bench, name: string, path: string, reading: Reading = {}): Promise<Account> {
  return inTransaction(bench.connection, async () => {
    const account = await ingestFile(bench.connection, {
      name,
      path,
      profile: reading.profile ?? house,
      zone: reading.zone ?? "UTC",
      storedBadge: reading.storedBadge ?? ((badge) => badge),
      workDir: bench.store.workDir,
    });
    if (account.touched) await tellAlive(bench.connection, account.touched);
    return account;
  });
}

/** Writes a log into the bench's folder and ingests it. */
export async function ingestText(bench: Bench, name: string, text: string | Uint8Array, reading: Reading = {}): Promise<Account> {
  const path = join(bench.folder, name);
  writeFileSync(path, text);
  return ingestPath(bench, name, path, reading);
}

export async function rows(bench: Bench, sql: string): Promise<Record<string, unknown>[]> {
  return (await bench.connection.runAndReadAll(sql)).getRowObjectsJson() as Record<string, unknown>[];
}

/** The five counts and their sum, without the name. */
export function counts({ lines, stored, duplicates, ignored, blank, rejected, repaired }: Account): Record<string, number> {
  return { lines, stored, duplicates, ignored, blank, rejected, repaired };
}
