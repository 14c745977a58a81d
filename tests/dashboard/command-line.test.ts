// The command line as typed: answers, exit codes, messages.
import { existsSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { almanac, emptyFolder } from "../support/almanac.ts";
import { countsOfLog, sessionsInLog, writeShop } from "../support/shop.ts";

describe("a small log", () => {
  const folder = emptyFolder();
  beforeAll(async () => {
    writeShop(folder.path);
    const { code, json } = await almanac(folder.path, ["ingest", "log.csv", "--json"]);
    expect({ code, json }).toEqual({
      code: 0,
      json: {
        sessions: sessionsInLog,
        from: "2025-03-03T09:00:00.000Z",
        until: expect.any(String),
        files: [{ file: "log.csv", ...countsOfLog }],
      },
    });
  });
  afterAll(folder.remove);

  test("the same file again adds nothing", async () => {
    const { json } = await almanac(folder.path, ["ingest", "log.csv", "--json"]);
    expect(json.files).toEqual([
      { file: "log.csv", ...countsOfLog, stored: 0, duplicates: countsOfLog.duplicates + countsOfLog.stored },
    ]);
    expect(json.sessions).toBe(sessionsInLog);
  });

  test("rejects name file, line, text and reason, each place once", async () => {
    const { json } = await almanac(folder.path, ["rejects", "--json"]);
    expect(json.rejects.map(({ line, text, field }: Record<string, unknown>) => ({ line, text, field }))).toEqual([
      { line: 22, text: "not a time,21,enable,418,999,", field: "time" },
      { line: 23, text: "2025-03-04T09:00:00Z,21,shrug,418,998,", field: "event" },
    ]);
  });

  test("--strict ends with 3 where a line was rejected", async () => {
    expect((await almanac(folder.path, ["ingest", "log.csv", "--strict"])).code).toBe(3);
  });

  test("enabled hours are the sessions' hours, run-hours go by the factor", async () => {
    const { json } = await almanac(folder.path, ["hours", "--json"]);
    const planer = json.rows.find((row: { machine: string }) => row.machine === "planer");
    expect(planer.sessions).toBe(sessionsInLog / 2);
    expect(planer.enabledHours).toEqual({ low: 30, best: 30, high: 30 });
    expect(planer.runHours.best).toBeGreaterThan(14);
    expect(planer.runHours.best).toBeLessThan(16);
    expect(planer.runHours.low).toBeLessThan(planer.runHours.best);
  });

  test("an earlier as-of knows nothing of what came later", async () => {
    const { json } = await almanac(folder.path, ["sessions", "--as-of", "2025-03-03T09:30:00Z", "--json"]);
    expect(json.sessions).toHaveLength(1);
    expect(json.sessions[0]).toMatchObject({ machine: "planer", end: null, ended: "open" });
  });

  test("a table is for people: plain headings, and as of when by whose clock", async () => {
    const { out, err } = await almanac(folder.path, ["hours"]);
    expect(out).toMatch(/^As of 2025-03-30 12:00 .*Europe\/Lisbon$/m);
    expect(out).toMatch(/^Machine +From .*Run-hours/m);
    expect(out).toMatch(/^planer /m);
    expect(err).toBe("");
  });
});

describe("what won't do", () => {
  const folder = emptyFolder();
  beforeAll(() => writeShop(folder.path));
  afterAll(folder.remove);

  test("a file that can't be opened", async () => {
    const { code, json, err } = await almanac(folder.path, ["ingest", "absent.csv", "--json"]);
    expect(code).toBe(2);
    expect(json.error).toMatchObject({
      field: "file",
      value: expect.stringContaining("absent.csv"),
      expected: expect.any(String),
    });
    expect(err).toBe("");
    const { json: after } = await almanac(folder.path, ["sessions", "--json"]);
    expect(after.sessions).toEqual([]);
  });

  test("a bad workshop file: one message, no store", async () => {
    writeFileSync(
      join(folder.path, "bad.yaml"),
      "workshop: {name: X, zone: Mars/Olympus, currency: EUR, address_bits: 6}\nmachines: []\n",
    );
    const { code, err, out } = await almanac(folder.path, [
      "ingest",
      "log.csv",
      "--workshop",
      "bad.yaml",
      "--store",
      "never.duckdb",
    ]);
    expect(code).toBe(2);
    expect(out).toBe("");
    expect(err).toMatch(/bad\.yaml line 1.*zone.*Mars\/Olympus/);
    expect(err.trim().split("\n")).toHaveLength(1);
    expect(existsSync(join(folder.path, "never.duckdb"))).toBe(false);
  });

  test("a bad profile: one message, nothing stored", async () => {
    writeFileSync(join(folder.path, "profile.yaml"), "profile: p\nformat: csv\nfields: {time: When}\n");
    const { code, err } = await almanac(folder.path, [
      "ingest",
      "log.csv",
      "--profile",
      "profile.yaml",
      "--store",
      "empty.duckdb",
    ]);
    expect(code).toBe(2);
    expect(err).toMatch(/profile\.yaml/);
    expect(err).not.toMatch(/^\s+at /m);
  });

  test.each([
    [["hours", "--by", "fortnight"], "by", "fortnight"],
    [["sessions", "--since", "yesterweek"], "since", "yesterweek"],
    [["hours", "--sede", "3"], "sede", "--sede"],
    [["ours"], "command", "ours"],
  ])("%j", async (args, field, value) => {
    const { code, json } = await almanac(folder.path, [...args, "--json"]);
    expect(code).toBe(2);
    expect(json.error).toMatchObject({ field, value, expected: expect.any(String) });
  });

  test("a mistyped command is met with the one that was meant", async () => {
    const { err } = await almanac(folder.path, ["ours"]);
    expect(err).toMatch(/Did you mean hours\?/);
  });

  test("a store that is none", async () => {
    writeFileSync(join(folder.path, "foreign.duckdb"), "not a store, by a long way\n".repeat(400));
    const { code, err } = await almanac(folder.path, ["hours", "--store", "foreign.duckdb"]);
    expect(code).toBe(1);
    expect(err).toMatch(/foreign\.duckdb/);
  });

  test("a question to a store that isn't there is answered as by an empty one", async () => {
    const { code, json } = await almanac(folder.path, ["hours", "--store", "nowhere.duckdb", "--json"]);
    expect({ code, rows: json.rows }).toEqual({ code: 0, rows: [] });
    expect(existsSync(join(folder.path, "nowhere.duckdb"))).toBe(false);
  });
});
