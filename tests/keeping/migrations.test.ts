// A store of every older version, with rows in it, opens; as it was it stays beside the new one.
import { existsSync, mkdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { DuckDBInstance } from "@duckdb/node-api";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { latestSchema, openStore } from "../../shared/index.ts";
import { root } from "../support/almanac.ts";
import { writeShop } from "../support/shop.ts";
import { asked, emptyFolder } from "./house.ts";

const migrations = readFileSync(join(root, "shared/schema.sql"), "utf8")
  .split(/^(?=-- migration \d+:)/m)
  .slice(1);

/** A value of each type that stands in the schema; what it means doesn't matter, only that it is carried along. */
const sampleOf = (type: string): string =>
  type.endsWith("[]")
    ? `CAST([] AS ${type})`
    : /^(VARCHAR|BIT)$/.test(type)
      ? `CAST('1' AS ${type})`
      : /^(TIMESTAMP|DATE)/.test(type)
        ? `CAST('2025-03-03 09:00:00' AS ${type})`
        : `CAST(1 AS ${type})`;

/** As an earlier version would have left it: its tables, one row in each of what it keeps of the log and the bench, an hour's use. */
async function writeOldStore(path: string, upTo: number): Promise<Record<string, number>> {
  const instance = await DuckDBInstance.create(path);
  const connection = await instance.connect();
  await connection.run("SET GLOBAL timezone = 'UTC'");
  for (const sql of migrations.slice(0, upTo)) await connection.run(sql);
  await connection.run(`INSERT INTO meta VALUES ('schema', '${upTo}')`);
  await connection.run(
    "INSERT INTO reading (reading_id, file, profile, read_at, lines, stored, duplicates, ignored, blank, rejected, repaired) VALUES (1, 'log.csv', '{}', '2025-03-04 00:00:00Z', 3, 2, 0, 0, 0, 1, 0)",
  );
  await connection.run("INSERT INTO reject (reading_id, file, line, text, reason) VALUES (1, 'log.csv', 3, 'what', 'no event')");
  await connection.run(`INSERT INTO event (reading_id, line, occurred_at, station, kind, badge) VALUES
    (1, 1, '2025-03-03 09:00:00Z', '21', 'enable', '418'), (1, 2, '2025-03-03 10:00:00Z', '21', 'release', '418')`);
  const others = ["service_record", "bench_outage", "stock_move", "machine_note", "account", "trail", "copy_made", "forgotten"];
  const rows: Record<string, number> = { reading: 1, reject: 1, event: 2 };
  for (const table of others) {
    const columns = (
      await connection.runAndReadAll(
        "SELECT column_name, data_type FROM duckdb_columns() WHERE table_name = $table ORDER BY column_index",
        { table },
      )
    ).getRows() as [string, string][];
    if (columns.length === 0) continue;
    await connection.run(`INSERT INTO ${table} VALUES (${columns.map(([, type]) => sampleOf(type)).join(", ")})`);
    rows[table] = 1;
  }
  await connection.run("CHECKPOINT");
  connection.closeSync();
  instance.closeSync();
  return rows;
}

async function rowsIn(path: string, tables: readonly string[]): Promise<Record<string, number>> {
  const instance = await DuckDBInstance.create(path, { access_mode: "READ_ONLY" });
  const connection = await instance.connect();
  const rows: Record<string, number> = {};
  for (const table of tables)
    rows[table] = Number((await connection.runAndReadAll(`SELECT count(*)::int FROM ${table}`)).getRows()[0]?.[0]);
  connection.closeSync();
  instance.closeSync();
  return rows;
}

describe("a store of an older version", () => {
  const folder = emptyFolder();
  beforeAll(() => writeShop(folder.path));
  afterAll(folder.remove);

  test.each(Array.from({ length: latestSchema() - 1 }, (_, i) => i + 1))("of schema %i", async (number) => {
    const store = join(folder.path, `old-${number}.duckdb`);
    const rows = await writeOldStore(store, number);
    const { rows: hours } = await asked(folder.path, "hours", { store });
    expect(hours).toHaveLength(2);
    expect(hours[0]).toMatchObject({ machine: "planer", sessions: 1, enabledHours: { low: 1, best: 1, high: 1 } });
    const { ok, schema } = await asked(folder.path, "verify", { store });
    expect({ ok, schema }).toEqual({ ok: true, schema: latestSchema() });
    expect(
      await rowsIn(
        store,
        Object.keys(rows).filter((table) => table !== "copy_made"),
      ),
    ).toEqual({ ...rows, copy_made: undefined });
    // The way back: as it was, under its own name.
    expect(await rowsIn(`${store}.schema-${number}`, Object.keys(rows))).toEqual(rows);
  });

  test("of a newer version is refused and left alone", async () => {
    const store = join(folder.path, "newer.duckdb");
    const opened = await openStore(store);
    const connection = await opened.connect();
    await connection.run("UPDATE meta SET value = '9999' WHERE key = 'schema'");
    connection.closeSync();
    opened.close();
    await expect(openStore(store)).rejects.toThrow(/written by a newer Workshop Almanac, update first/);
    expect(existsSync(`${store}.schema-9999`)).toBe(false);
  });

  test("keeps nothing where there is no room for it, and stays as it was", async () => {
    const store = join(folder.path, "full.duckdb");
    const rows = await writeOldStore(store, 1);
    // A folder stands where the copy would be kept.
    mkdirSync(`${store}.schema-1/in-the-way`, { recursive: true });
    await expect(openStore(store)).rejects.toThrow(/a store that can be opened/);
    expect(await rowsIn(store, Object.keys(rows))).toEqual(rows);
  });
});
