// One process holds the store: every other command hands its work over and gives the same answer and exit code.
import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { almanac, emptyFolder, served } from "../support/almanac.ts";
import { countsOfLog, sessionsInLog, writeShop } from "../support/shop.ts";

const folder = emptyFolder();
beforeAll(() => writeShop(folder.path));
afterAll(folder.remove);

describe("while the dashboard is open", () => {
  let server: Awaited<ReturnType<typeof served>>;
  beforeAll(async () => {
    server = await served(folder.path, ["serve"]);
  });
  afterAll(async () => {
    server.child.kill("SIGTERM");
    expect((await server.ended).code).toBe(0);
    expect(existsSync(join(folder.path, "almanac.duckdb.held-by.json"))).toBe(false);
  });

  test("ingest hands its work over and answers as ever", async () => {
    const { code, json, err } = await almanac(folder.path, ["ingest", "log.csv", "--json"]);
    expect({ code, err }).toEqual({ code: 0, err: "" });
    expect(json.files).toEqual([{ file: "log.csv", ...countsOfLog }]);
    expect(json.sessions).toBe(sessionsInLog);
    const over = await fetch(`${server.address}api/v1/sessions`);
    expect(((await over.json()) as { sessions: unknown[] }).sessions).toHaveLength(sessionsInLog);
  });

  test("the same question, the same answer, with and without the holder", async () => {
    writeFileSync(join(folder.path, "beside.csv"), readFileSync(join(folder.path, "log.csv")));
    await almanac(folder.path, ["ingest", "beside.csv", "--store", "beside.duckdb"]);
    for (const args of [["hours"], ["hours", "--by", "week"], ["sessions", "--machine", "planer"], ["occupancy"]]) {
      const held = await almanac(folder.path, [...args, "--json"]);
      const own = await almanac(folder.path, [...args, "--json", "--store", "beside.duckdb"]);
      expect(held).toMatchObject({ code: own.code, out: own.out, err: own.err });
    }
  });

  test("the caller's mistakes stay the caller's", async () => {
    const absent = await almanac(folder.path, ["ingest", "absent.csv", "--json"]);
    expect({ code: absent.code, field: absent.json.error.field }).toEqual({ code: 2, field: "file" });
    const fortnight = await almanac(folder.path, ["hours", "--by", "fortnight", "--json"]);
    expect({ code: fortnight.code, field: fortnight.json.error.field }).toEqual({ code: 2, field: "by" });
    expect((await almanac(folder.path, ["ingest", "log.csv", "--strict"])).code).toBe(3);
  });

  test("a second server on the store ends with a message", async () => {
    const { code, err } = await almanac(folder.path, ["serve", "--port", "0"]);
    expect(code).toBe(1);
    expect(err).toMatch(/store/);
    expect(err.trim().split("\n")).toHaveLength(1);
  });

  test("a taken port ends with a message", async () => {
    const port = new URL(server.address).port;
    const { code, err } = await almanac(folder.path, ["serve", "--store", "other.duckdb", "--port", port]);
    expect(code).toBe(1);
    expect(err).toMatch(/port/);
  });
});

describe("when the holder dies", () => {
  test("in the middle of a hand-over the command ends within ten seconds, with 0 only where all is stored", async () => {
    const lines = ["time,station,event,badge,sequence,detail"];
    for (let i = 0; i < 400_000; i++) {
      const at = new Date(Date.UTC(2025, 0, 1) + i * 40_000).toISOString();
      lines.push(`${at},${21 + (i % 2)},${i % 4 < 2 ? "enable" : "release"},418,${i},`);
    }
    writeFileSync(join(folder.path, "long.csv"), `${lines.join("\n")}\n`);
    const server = await served(folder.path, ["serve", "--store", "dying.duckdb"]);
    const handed = almanac(folder.path, ["ingest", "long.csv", "--store", "dying.duckdb", "--json"]);
    // Once the log lies spooled in the work folder, the holder is in the middle of it.
    const isSpooled = () => readdirSync(join(folder.path, "dying.duckdb.work")).some((name) => name.startsWith("spool"));
    while (!isSpooled()) await new Promise((done) => setTimeout(done, 20));
    const killedAt = Date.now();
    server.child.kill("SIGKILL");
    const { code, json } = await handed;
    expect((Date.now() - killedAt) / 1000).toBeLessThan(10);
    if (code === 0) expect(json.files[0].stored).toBe(400_000);
    else expect(code).toBe(1);

    // The note that it left behind misleads nobody, and nothing half-done is left.
    const again = await almanac(folder.path, ["ingest", "long.csv", "--store", "dying.duckdb", "--json"]);
    expect(again.code).toBe(0);
    const { stored, duplicates } = again.json.files[0];
    expect(stored + duplicates).toBe(400_000);
    expect([0, 400_000]).toContain(stored);
  });
});
