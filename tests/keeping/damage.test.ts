// A store whose bytes were overwritten: verify finds it, what can be read is saved, and the logs bring back the rest.
import { closeSync, copyFileSync, existsSync, openSync, statSync, writeFileSync, writeSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { almanac } from "../support/almanac.ts";
import { sessionsInLog, writeShop } from "../support/shop.ts";
import { asked, emptyFolder, storeIn } from "./house.ts";

/** As a dying memory card would: 4 KiB of rubbish at that share of the file. */
function hurt(path: string, share: number): void {
  const file = openSync(path, "r+");
  writeSync(file, Buffer.alloc(4096, 0xee), 0, 4096, Math.floor(statSync(path).size * share));
  closeSync(file);
}

/** Sums in another order differ in their last digits. */
const rounded = (answer: unknown): unknown =>
  JSON.parse(JSON.stringify(answer), (_, value) => (typeof value === "number" ? Number(value.toPrecision(10)) : value));
const rowsIn = async (folder: string, options: Record<string, unknown> = {}) =>
  rounded((await asked(folder, "hours", options)).rows);

describe("a store damaged in the middle", () => {
  const folder = emptyFolder();
  const stored = 40_000;
  beforeAll(async () => {
    writeShop(folder.path);
    const lines = ["time,station,event,badge,sequence,detail"];
    for (let i = 0; i < stored; i++) {
      const at = new Date(Date.UTC(2023, 0, 1) + i * 900_000 + ((i * 7919) % 600) * 1000).toISOString();
      lines.push(`${at},${21 + (i % 2)},${i % 4 < 2 ? "enable" : "release"},${(i * 7919) % 997},${i},${i * 104_729}`);
    }
    writeFileSync(join(folder.path, "long.csv"), `${lines.join("\n")}\n`);
    await asked(folder.path, "ingest", { files: ["log.csv", "long.csv"] });
    await asked(folder.path, "note add", { machine: "planer", text: "dull" });
    await asked(folder.path, "account add", { name: "ann", role: ["steward"] });
  });
  afterAll(folder.remove);

  test("is found by verify at every place that matters, or harms nothing; what can be read is saved, and reading the logs again makes it whole", async () => {
    const whole = { hours: await rowsIn(folder.path), sessions: (await asked(folder.path, "sessions")).sessions.length };
    let found = 0;
    for (const share of [0.3, 0.5, 0.7]) {
      const store = join(folder.path, `hurt-${share}.duckdb`);
      copyFileSync(storeIn(folder.path), store);
      hurt(store, share);
      const verified = await almanac(folder.path, ["verify", "--store", store, "--json"]);
      if (verified.code === 0) {
        // A block that nothing stands in.
        expect(verified.json.ok).toBe(true);
        expect(await rowsIn(folder.path, { store })).toEqual(whole.hours);
        continue;
      }
      found += 1;
      expect(verified.code).toBe(1);
      expect(verified.out).toMatch(/Corrupt|checksum|can't be read/);
      expect(verified.out).toMatch(/almanac restore/);
      if (verified.json.error) continue;
      const saved = join(folder.path, `saved-${share}.duckdb`);
      const { tables, lost } = await asked(folder.path, "rescue", { file: saved, store });
      for (const each of tables) expect(each.saved + each.lost, each.table).toBe(each.rows);
      expect(lost).toBe(tables.reduce((sum: number, each: { lost: number }) => sum + each.lost, 0));
      await asked(folder.path, "ingest", { files: ["log.csv", "long.csv"], store: saved });
      expect(await rowsIn(folder.path, { store: saved })).toEqual(whole.hours);
      expect((await asked(folder.path, "sessions", { store: saved })).sessions).toHaveLength(whole.sessions);
      expect((await asked(folder.path, "account list", { store: saved })).accounts).toHaveLength(1);
      expect((await asked(folder.path, "verify", { store: saved })).ok).toBe(true);
    }
    expect(found).toBeGreaterThan(0);
  }, 300_000);

  test("whose head is gone is told in one sentence with the way back, and a rescue writes over nothing", async () => {
    const store = join(folder.path, "headless.duckdb");
    copyFileSync(storeIn(folder.path), store);
    hurt(store, 0);
    const { code, err } = await almanac(folder.path, ["hours", "--store", store]);
    expect(code).toBe(1);
    expect(err.trim().split("\n")).toHaveLength(1);
    await expect(asked(folder.path, "rescue", { file: "log.csv" })).rejects.toThrow(/where nothing is yet/);
    await expect(asked(folder.path, "rescue", { file: "new.duckdb", store: "absent.duckdb" })).rejects.toThrow(/a store/);
    expect(existsSync(join(folder.path, "absent.duckdb"))).toBe(false);
    expect(sessionsInLog).toBeGreaterThan(0);
  });

  test("a sound store is saved whole", async () => {
    const { lost, tables } = await asked(folder.path, "rescue", { file: "copy.duckdb" });
    expect(lost).toBe(0);
    expect(tables.find((each: { table: string }) => each.table === "event")).toMatchObject({
      saved: stored + 2 * sessionsInLog,
      patchy: 0,
    });
    const copied = { store: join(folder.path, "copy.duckdb") };
    expect(await rowsIn(folder.path, copied)).toEqual(await rowsIn(folder.path));
  });
});
