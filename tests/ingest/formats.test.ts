// The same three events in every format, and the faults that each may have.
import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { DuckDBInstance } from "@duckdb/node-api";
import { afterEach, beforeEach, expect, test } from "vitest";
import { ingestBatch } from "../../ingest/index.ts";
import { FailedError, UsageError } from "../../shared/errors.ts";
import { houseProfile } from "../../shared/profile.ts";
import { inTransaction } from "../../shared/store.ts";
import { type Bench, counts, ingestPath, ingestText, openBench, profileOf, rows } from "./logs.ts";

let bench: Bench;
beforeEach(async () => {
  bench = await openBench();
});
afterEach(() => bench.close());

const records = [
  { time: "2025-01-04T10:00:00Z", station: "7", event: "enable", badge: "9007199254740993", sequence: 1 },
  { time: "2025-01-04T10:30:00Z", station: "7", event: "release", badge: "9007199254740993", sequence: 2 },
  { time: "2025-01-04T11:00:00Z", station: "8", event: "refuse", badge: "00417", sequence: 3 },
];
const fields = "fields: {time: time, station: station, event: event, badge: badge, sequence: sequence}\n";
const profile = (format: string, more = ""): ReturnType<typeof profileOf> =>
  profileOf(`profile: p\nformat: ${format}\n${more}${fields}`);
const bare = JSON.stringify(records).replaceAll('"9007199254740993"', "9007199254740993").replaceAll('"7"', "7");

test("CSV, spaces, NDJSON, JSON and Parquet, packed or not, give the same three events", async () => {
  const csv = `time,station,event,badge,sequence\n${records.map((record) => Object.values(record).join(",")).join("\n")}\n`;
  expect(counts(await ingestText(bench, "a.csv", csv, { profile: profile("csv") }))).toMatchObject({ lines: 3, stored: 3 });
  const same = { lines: 3, stored: 0, duplicates: 3, ignored: 0, blank: 0, rejected: 0, repaired: 0 };
  const parquet = join(bench.folder, "log.parquet");
  const instance = await DuckDBInstance.create(":memory:");
  const connection = await instance.connect();
  writeFileSync(join(bench.folder, "rows.json"), JSON.stringify(records));
  await connection.run(
    `COPY (SELECT time::TIMESTAMPTZ AS time, station::INTEGER AS station, event, badge, sequence FROM read_json('${join(bench.folder, "rows.json")}', columns = {time: 'VARCHAR', station: 'VARCHAR', event: 'VARCHAR', badge: 'VARCHAR', sequence: 'BIGINT'})) TO '${parquet}' (FORMAT parquet)`,
  );
  connection.closeSync();
  instance.closeSync();
  expect(counts(await ingestPath(bench, "log.parquet", parquet, { profile: profile("parquet") }))).toEqual(same);
  const lines = bare.slice(1, -1).replaceAll("},{", "}\n{");
  expect(counts(await ingestText(bench, "log.ndjson", lines, { profile: profile("ndjson") }))).toEqual(same);
  expect(counts(await ingestText(bench, "log.json", bare, { profile: profile("json") }))).toEqual(same);
  expect(
    counts(await ingestText(bench, "pretty.json.gz", gzipSync(JSON.stringify(records, null, 2)), { profile: profile("json") })),
  ).toEqual(same);
  expect(
    counts(
      await ingestText(bench, "spaces.txt", `# a comment\n${csv.replaceAll(",", "   ")}`, {
        profile: profile("csv", 'delimiter: spaces\ncomment: "#"\n'),
      }),
    ),
  ).toEqual(same);
  expect(
    counts(await ingestText(bench, "skipped.csv", `Report of the day\n\n${csv}`, { profile: profile("csv", "skip_lines: 2\n") })),
  ).toEqual(same);
});

test("a broken element of an array costs nothing behind it, and is numbered as a record", async () => {
  const [a, b, c] = records.map((record) => JSON.stringify(record));
  const text = `[\n${a},\n{"time": "2025-01-04T10:10:00Z", "station": {"x": 1,\n${b},\n{"time": "broken\n,\n${c},\n 12\n]`;
  const account = await ingestText(bench, "log.json", text, { profile: profile("json") });
  expect(counts(account)).toMatchObject({ stored: 3, rejected: account.lines - 3 });
  expect((await rows(bench, "SELECT line::int AS line FROM event ORDER BY line")).length).toBe(3);
});

test("a column or key that the file lacks, a file that can't be opened, a folder, another archive: refused before anything is stored", async () => {
  const lacking = profileOf("profile: p\nformat: csv\nfields: {time: When, station: station, event: event}\n");
  await expect(ingestText(bench, "a.csv", "time,station,event\n2025-01-04,1,boot\n", { profile: lacking })).rejects.toThrow(
    UsageError,
  );
  await expect(
    ingestText(bench, "a.json", bare, {
      profile: profileOf("profile: p\nformat: json\nfields: {time: time, station: unit, event: event}\n"),
    }),
  ).rejects.toThrow(/unit/);
  await expect(ingestPath(bench, "no.csv", join(bench.folder, "no.csv"))).rejects.toThrow(/ENOENT/);
  mkdirSync(join(bench.folder, "folder"));
  await expect(ingestPath(bench, "folder", join(bench.folder, "folder"))).rejects.toThrow(UsageError);
  await expect(ingestText(bench, "a.zip", Buffer.from("PK\x03\x04...."))).rejects.toThrow(/zip/);
  await expect(ingestText(bench, "a.parquet", Buffer.from("PAR1 no"), { profile: profile("parquet") })).rejects.toThrow(
    FailedError,
  );
  expect(await rows(bench, "SELECT count(*)::int AS n FROM reading")).toEqual([{ n: 0 }]);
});

test("live lines take the same way; their numbers go on from batch to batch", async () => {
  const batch = (lines: string): Promise<Awaited<ReturnType<typeof ingestBatch>>> =>
    inTransaction(bench.connection, () =>
      ingestBatch(bench.connection, {
        name: "live",
        lines,
        profile: houseProfile("ndjson"),
        zone: "UTC",
        storedBadge: (badge) => badge,
        workDir: bench.store.workDir,
      }),
    );
  const line = JSON.stringify(records[0]);
  expect(counts(await batch(`${line}\nrubbish\n`))).toMatchObject({ lines: 2, stored: 1, rejected: 1 });
  expect(counts(await batch(`${line}\n{"time":"2025-01-04T12:00:00Z"}\n`))).toMatchObject({
    lines: 2,
    duplicates: 1,
    rejected: 1,
  });
  expect(await rows(bench, "SELECT line::int AS line, reason FROM reject ORDER BY line")).toEqual([
    { line: 2, reason: "no JSON object; expected one in braces" },
    { line: 4, reason: "station is empty; expected its address" },
  ]);
});

test("a live source's clock that is not set is bounded by what it sent before", async () => {
  const batch = (...lines: Record<string, unknown>[]): Promise<Awaited<ReturnType<typeof ingestBatch>>> =>
    inTransaction(bench.connection, () =>
      ingestBatch(bench.connection, {
        name: "live",
        lines: lines.map((line) => JSON.stringify(line)),
        profile: houseProfile("ndjson"),
        zone: "UTC",
        storedBadge: (badge) => badge,
        workDir: bench.store.workDir,
      }),
    );
  const unset = { time: "1970-01-01T00:00:10Z", station: "7", event: "boot" };
  expect(counts(await batch(unset))).toMatchObject({ stored: 0, rejected: 1 });
  await batch(records[0]!);
  expect(counts(await batch(unset))).toMatchObject({ stored: 1, repaired: 1 });
  expect(counts(await batch(unset))).toMatchObject({ stored: 0, duplicates: 1 });
  expect(
    await rows(bench, "SELECT early_at::VARCHAR AS early, late_at > early_at AS open FROM event WHERE kind = 'boot'"),
  ).toEqual([{ early: "2025-01-04 10:00:00+00", open: true }]);
});
