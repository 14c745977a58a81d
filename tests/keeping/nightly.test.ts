// The nightly backup: once a night by the workshop's clock, so many kept, its age told, and a failure said and tried again.
import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { keepOnce, startKeeping } from "../../dashboard/keeping/nightly.ts";
import { openStore, type Store } from "../../shared/index.ts";
import { writeShop } from "../support/shop.ts";
import { asked, emptyFolder, storeIn } from "./house.ts";

describe("a nightly backup", () => {
  let folder: ReturnType<typeof emptyFolder>;
  let store: Store;
  let now: Date;
  const logged: string[] = [];
  const names = () => readdirSync(join(folder.path, "copies")).sort();
  const keep = (at: string) => {
    now = new Date(at);
    return keepOnce({ store, workshop: join(folder.path, "workshop.yaml"), log: (line) => logged.push(line), now: () => now });
  };

  beforeEach(async () => {
    folder = emptyFolder();
    writeShop(folder.path);
    const file = join(folder.path, "workshop.yaml");
    // Lisbon: an hour ahead of UTC in summer, none in winter.
    writeFileSync(file, `${readFileSync(file, "utf8")}backup: {folder: copies, at: "03:00", keep: 3}\n`);
    await asked(folder.path, "ingest", { files: ["log.csv"] });
    store = await openStore(storeIn(folder.path));
    logged.length = 0;
  });
  afterEach(() => {
    store.close();
    folder.remove();
  });

  test("is made once a night, by the workshop's own clock, and at once where the night was missed", async () => {
    expect(await keep("2025-07-01T01:30:00Z")).toBe(join(folder.path, "copies/almanac-2025-07-01.almanac"));
    expect(await keep("2025-07-01T01:59:00Z")).toBeNull();
    expect(await keep("2025-07-02T02:00:00Z")).not.toBeNull();
    expect(await keep("2025-07-02T23:00:00Z")).toBeNull();
    // Switched off for two nights.
    expect(await keep("2025-07-04T15:00:00Z")).not.toBeNull();
    expect(await keep("2025-07-05T01:59:59Z")).toBeNull();
    expect(names()).toEqual(["almanac-2025-07-01.almanac", "almanac-2025-07-02.almanac", "almanac-2025-07-04.almanac"]);
  });

  test("keeps so many, forgets those it took away, and touches no other file", async () => {
    mkdirSync(join(folder.path, "copies"));
    writeFileSync(join(folder.path, "copies/almanac-by-hand.almanac"), "mine");
    for (let day = 1; day <= 5; day++) await keep(`2025-07-0${day}T12:00:00Z`);
    expect(names()).toEqual([
      "almanac-2025-07-03.almanac",
      "almanac-2025-07-04.almanac",
      "almanac-2025-07-05.almanac",
      "almanac-by-hand.almanac",
    ]);
    const connection = await store.connect();
    const copies = await connection.runAndReadAll("SELECT count(*)::int FROM copy_made");
    connection.closeSync();
    expect(copies.getRows()).toEqual([[3]]);
  });

  test("tells its age, and answers about the log none where there is none", async () => {
    const before = await asked(folder.path, "log", {}, { store });
    expect(before.backup).toBeNull();
    await keep("2025-07-01T01:30:00Z");
    const { backup } = await asked(folder.path, "log", {}, { store });
    expect(backup).toMatchObject({ madeAt: new Date("2025-07-01T01:30:00Z"), madeDay: "2025-07-01" });
  });

  test("a clock set back makes none twice, one that was in 1970 none that counts", async () => {
    await keep("1970-01-02T12:00:00Z");
    expect(await keep("2025-07-01T12:00:00Z")).not.toBeNull();
    expect(await keep("2025-07-01T11:00:00Z")).not.toBeNull();
    expect(names()).toEqual(["almanac-1970-01-02.almanac", "almanac-2025-07-01.almanac"]);
  });

  test("what fails is said and tried again", async () => {
    writeFileSync(join(folder.path, "copies"), "a file in the way");
    const keeping = startKeeping({
      store,
      workshop: join(folder.path, "workshop.yaml"),
      log: (line) => logged.push(line),
      now: () => new Date("2025-07-01T12:00:00Z"),
      everyMs: 50,
    });
    while (logged.length === 0) await new Promise((done) => setTimeout(done, 20));
    expect(logged[0]).toMatch(/^nightly backup: .*(ENOTDIR|EEXIST)/);
    rmSync(join(folder.path, "copies"));
    while (!logged.some((line) => line.endsWith("read back whole"))) await new Promise((done) => setTimeout(done, 20));
    await keeping.close();
    expect(names()).toEqual(["almanac-2025-07-01.almanac"]);
  });
});
