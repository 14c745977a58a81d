// The history as Parquet gives the same answers as the tool, asked by DuckDB alone.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { DuckDBInstance } from "@duckdb/node-api";
import { afterAll, beforeAll, expect, test } from "vitest";
import { sessionsInLog, writeShop } from "../support/shop.ts";
import { asked, emptyFolder, type Json } from "./house.ts";

const folder = emptyFolder();
const dir = join(folder.path, "history");
beforeAll(async () => {
  writeShop(folder.path);
  // Ends that nobody saw, a motor, signs of life, and a New Year's night by Lisbon's clock, which is UTC.
  const lines = [
    "time,station,event,badge",
    "2024-12-31T23:30:00Z,21,enable,9",
    "2025-01-01T00:30:00Z,21,release,9",
    "2025-02-01T09:00:00Z,22,enable,9",
    "2025-02-01T09:05:00Z,22,motor-on,",
    "2025-02-01T09:10:00Z,22,motor-off,",
    "2025-02-01T12:00:00Z,22,enable,8",
    "2025-02-01T13:00:00Z,22,release,8",
    ...Array.from({ length: 30 }, (_, i) => `2025-02-02T10:${String(i).padStart(2, "0")}:00Z,22,alive,`),
    "",
  ];
  writeFileSync(join(folder.path, "more.csv"), lines.join("\n"));
  await asked(folder.path, "ingest", { files: ["log.csv", "more.csv"] });
});
afterAll(folder.remove);

async function byDuckDbAlone(file: string): Promise<Json[]> {
  const sql = readFileSync(join(dir, "queries", file), "utf8").replaceAll("'year=", `'${dir}/year=`);
  const instance = await DuckDBInstance.create(":memory:");
  const connection = await instance.connect();
  const rows = (await connection.runAndReadAll(sql)).getRowObjectsJson();
  connection.closeSync();
  instance.closeSync();
  return rows;
}

test("one folder a year, with the rows that stand in the store, and a note that it was made", async () => {
  const exported = await asked(folder.path, "export", { dir: "history" });
  const rows = Object.fromEntries(exported.files.map(({ file, rows }: Json) => [file, rows]));
  expect(rows).toMatchObject({
    "year=2024/events.parquet": 1,
    "year=2024/sessions.parquet": 1,
    "year=2025/sessions.parquet": sessionsInLog + 2,
    "year=2025/motors.parquet": 1,
    "year=2025/alive.parquet": 1,
  });
  expect(exported.rows).toBe(exported.files.reduce((sum: number, each: Json) => sum + each.rows, 0));
  await expect(asked(folder.path, "export", { dir: "history" })).rejects.toThrow(/a new or an empty folder/);
  const { elsewhere } = await asked(folder.path, "about", { badge: "9" });
  expect(elsewhere).toContainEqual(expect.objectContaining({ kind: "export", file: dir }));
});

test("hours, sessions and starts by machine are the tool's", async () => {
  const { rows } = await asked(folder.path, "hours");
  const badged = rows.filter(({ sessions }: Json) => sessions !== null);
  const found = await byDuckDbAlone("hours-by-machine.sql");
  expect(found.map(({ machine }) => machine)).toEqual(badged.map(({ machine }: Json) => machine).sort());
  for (const row of found) {
    const same = badged.find(({ machine }: Json) => machine === row.machine);
    expect(Number(row.sessions)).toBe(same.sessions);
    expect(Number(row.starts)).toBe(same.starts);
    expect(row.enabled_hours).toBeCloseTo(same.enabledHours.best, 6);
  }
});

test("counts of events add up to what was stored, year by year and station by station", async () => {
  const events = await byDuckDbAlone("events-by-station.sql");
  const { readings } = await asked(folder.path, "log");
  const stored = readings.reduce((sum: number, each: Json) => sum + each.stored, 0);
  const alive = 30;
  expect(events.reduce((sum, each) => sum + Number(each.events), 0)).toBe(stored - alive);
  expect(new Set(events.map(({ year }) => Number(year)))).toEqual(new Set([2024, 2025]));
  const months = await byDuckDbAlone("sessions-by-month.sql");
  expect(months.reduce((sum, each) => sum + Number(each.sessions), 0)).toBe(sessionsInLog + 3);
});
