// Power loss: whatever part of the write-ahead log reached the disk, the store opens with the first so many deliveries, whole, and
// takes the rest when they come again.
import { execFileSync } from "node:child_process";
import { copyFileSync, existsSync, linkSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { DuckDBInstance } from "@duckdb/node-api";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { ingestBatch } from "../../ingest/index.ts";
import { houseProfile, inTransaction, openStore } from "../../shared/index.ts";
import { openedWithoutTear } from "../../shared/torn-log.ts";
import { emptyFolder, storeIn } from "../keeping/house.ts";
import { seeded } from "../stats/random.ts";

const [deliveries, linesEach] = [40, 25];
/** `ALMANAC_CUT_POINTS=1000` looks closer. */
const cutPoints = Number(process.env.ALMANAC_CUT_POINTS ?? 250);

const delivery = (number: number): string =>
  Array.from({ length: linesEach }, (_, i) => {
    const time = new Date(Date.UTC(2025, 0, 1) + (number * linesEach + i) * 60_000).toISOString();
    return JSON.stringify({
      time,
      station: "21",
      event: i % 2 ? "release" : "enable",
      badge: `b${number}`,
      sequence: number * linesEach + i,
    });
  }).join("\n");

describe("a store whose power is cut", () => {
  const folder = emptyFolder();
  const base = join(folder.path, "base.duckdb");
  let log: Buffer;

  beforeAll(async () => {
    const path = storeIn(folder.path);
    const store = await openStore(path);
    const connection = await store.connect();
    for (let i = 0; i < deliveries; i++) {
      await inTransaction(connection, async () => {
        const settings = { name: `delivery ${i}`, lines: delivery(i), profile: houseProfile("ndjson"), zone: "UTC" };
        await ingestBatch(connection, { ...settings, storedBadge: (badge) => badge, workDir: store.workDir });
      });
    }
    // As it lies on the disk at this moment; the process goes on and has written nothing out.
    execFileSync("cp", [path, base]);
    log = execFileSync("cat", [`${path}.wal`], { maxBuffer: 1 << 30 });
    connection.closeSync();
    store.close();
  });
  afterAll(folder.remove);

  /** How many deliveries stand in the store with this much of its log; throws where one is there in part. */
  async function standing(part: Buffer): Promise<number> {
    const path = join(folder.path, "cut.duckdb");
    linkSync(base, path);
    writeFileSync(`${path}.wal`, part);
    try {
      // As the store opens it, but without writing anything out, so that a thousand of them share one file.
      const open = () => DuckDBInstance.create(path, { access_mode: "READ_ONLY" });
      const instance = await open().catch((error: unknown) => openedWithoutTear(`${path}.wal`, error, open));
      const connection = await instance.connect();
      const [[whole, some, last] = []] = (
        await connection.runAndReadAll(`
          SELECT count(*) FILTER (r.stored = e.events)::int, count(*)::int, coalesce(max(r.reading_id), 0)::int
          FROM reading AS r LEFT JOIN (SELECT reading_id, count(*) AS events FROM event GROUP BY reading_id) AS e USING (reading_id)`)
      ).getRows();
      const [[stray] = []] = (
        await connection.runAndReadAll("SELECT count(*)::int FROM event WHERE reading_id NOT IN (SELECT reading_id FROM reading)")
      ).getRows();
      connection.closeSync();
      instance.closeSync();
      if (whole !== some || some !== last || stray !== 0)
        throw new Error(`${whole} whole, ${some} there, last ${last}, ${stray} stray`);
      return Number(whole);
    } finally {
      rmSync(path, { force: true });
      for (const end of [".wal", ".wal.torn"]) rmSync(path + end, { force: true });
    }
  }

  test(`opens at ${cutPoints} cut points with the first so many deliveries, and never with fewer for more`, async () => {
    expect(await standing(log)).toBe(deliveries);
    const chance = seeded(14);
    const points = Array.from({ length: cutPoints }, () => Math.floor(chance() * log.length)).sort((a, b) => a - b);
    let before = 0;
    const seen = new Set<number>();
    for (const [i, point] of points.entries()) {
      // Cut off, or its length noted and its bytes not yet written.
      const part =
        i % 4 === 3 ? Buffer.concat([log.subarray(0, point), Buffer.alloc(log.length - point)]) : log.subarray(0, point);
      const now = await standing(part);
      expect(now, `at byte ${point} of ${log.length}`).toBeGreaterThanOrEqual(before);
      before = now;
      seen.add(now);
    }
    expect(seen.size).toBeGreaterThan(deliveries * 0.9);
  }, 1_200_000);

  test("whose log is wrong in the middle is not opened without what was accepted behind it: it says so, and the log stays", async () => {
    const path = join(folder.path, "wrong.duckdb");
    const wrong = Buffer.from(log);
    const middle = Math.floor(log.length / 2);
    wrong.fill(0xee, middle, middle + 64);
    copyFileSync(base, path);
    writeFileSync(`${path}.wal`, wrong);
    await expect(openStore(path)).rejects.toThrow(/a store that can be opened .*restore/s);
    expect(readFileSync(`${path}.wal`).equals(wrong)).toBe(true);
    expect(existsSync(`${path}.wal.torn`)).toBe(false);
  });

  test("takes what is sent again, each line once, and verifies", async () => {
    const path = join(folder.path, "again.duckdb");
    for (const share of [0.03, 0.31, 0.77]) {
      execFileSync("cp", [base, path]);
      writeFileSync(`${path}.wal`, log.subarray(0, Math.floor(log.length * share)));
      const store = await openStore(path);
      const connection = await store.connect();
      let [stored, duplicates] = [0, 0];
      for (let i = 0; i < deliveries; i++) {
        const account = await inTransaction(connection, () =>
          ingestBatch(connection, {
            name: `again ${i}`,
            lines: delivery(i),
            profile: houseProfile("ndjson"),
            zone: "UTC",
            storedBadge: (badge) => badge,
            workDir: store.workDir,
          }),
        );
        stored += account.stored;
        duplicates += account.duplicates;
      }
      expect(stored + duplicates).toBe(deliveries * linesEach);
      expect(duplicates % linesEach).toBe(0);
      const events = await connection.runAndReadAll("SELECT count(*)::int FROM event");
      expect(events.getRows()).toEqual([[deliveries * linesEach]]);
      connection.closeSync();
      store.close();
      rmSync(path);
    }
  }, 300_000);
});
