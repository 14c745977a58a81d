// A log of events in the house format: every line accounted for, each kind of fault with its words.
import { gzipSync } from "node:zlib";
import { afterEach, beforeEach, expect, test } from "vitest";
import { type Bench, counts, ingestText, openBench, profileOf, rows } from "./logs.ts";

let bench: Bench;
beforeEach(async () => {
  bench = await openBench();
});
afterEach(() => bench.close());

const log = [
  "time,station,event,badge,sequence,detail",
  "2025-01-04T10:00:00Z,21,enable,00417,1,",
  "2025-01-04T10:30:00+00:00,21,release,00417,2,",
  "",
  "2025-01-04 11:00:00,21,enable,418,3,new blade",
  "2025-01-04 11:00:00,21,enable,418,3,new blade",
  "31/02/2025 09:00,21,enable,418,4,",
  "2025-01-04 12:00:00,,release,418,5,",
  "2025-01-04 12:00:00,21,jump,418,5,",
  "2025-01-04 12:00:00,21,release,418,4.5,",
  "2025-01-04 12:00:00,21,release,418,6,a,b",
  "2025-01-04 12:00:00,21",
  "   ",
  "2025-01-04 12:05:00,21,release,418,6,",
].join("\n");

test("stores, drops, skips and rejects by line, and the five counts add up", async () => {
  const account = await ingestText(bench, "log.csv", log);
  expect(counts(account)).toEqual({ lines: 13, stored: 4, duplicates: 1, ignored: 0, blank: 2, rejected: 6, repaired: 0 });
  expect(account.touched).toEqual({
    stations: ["21"],
    from: new Date("2025-01-04T10:00:00Z"),
    until: new Date("2025-01-04T12:05:00Z"),
  });
  expect(
    await rows(
      bench,
      "SELECT line::int AS line, occurred_at::VARCHAR AS t, station, kind, badge, sequence::int AS s, detail FROM event ORDER BY line",
    ),
  ).toEqual([
    { line: 2, t: "2025-01-04 10:00:00+00", station: "21", kind: "enable", badge: "00417", s: 1, detail: null },
    { line: 3, t: "2025-01-04 10:30:00+00", station: "21", kind: "release", badge: "00417", s: 2, detail: null },
    { line: 5, t: "2025-01-04 11:00:00+00", station: "21", kind: "enable", badge: "418", s: 3, detail: "new blade" },
    { line: 14, t: "2025-01-04 12:05:00+00", station: "21", kind: "release", badge: "418", s: 6, detail: null },
  ]);
  expect(await rows(bench, "SELECT line::int AS line, field, reason FROM reject ORDER BY line")).toEqual([
    { line: 7, field: "time", reason: 'time "31/02/2025 09:00" is no date; expected yyyy-mm-dd hh:mm:ss up to the year 2199' },
    { line: 8, field: "station", reason: "station is empty; expected its address" },
    {
      line: 9,
      field: "event",
      reason:
        'event "jump" is neither mapped nor ignored; expected one of enable, release, refuse, boot, alive, motor-on, motor-off, change',
    },
    { line: 10, field: "sequence", reason: 'sequence "4.5" is no counter; expected a whole number' },
    { line: 11, field: null, reason: 'has "7" cells; expected the 6 of the header' },
    { line: 12, field: null, reason: 'has "2" cells; expected the 6 of the header' },
  ]);
});

test("the same lines again are duplicates, in whatever file, and rejects are listed once", async () => {
  await ingestText(bench, "log.csv", log);
  expect(counts(await ingestText(bench, "log.csv", log))).toEqual({
    lines: 13,
    stored: 0,
    duplicates: 5,
    ignored: 0,
    blank: 2,
    rejected: 6,
    repaired: 0,
  });
  expect(counts(await ingestText(bench, "copy.csv.gz", gzipSync(log)))).toMatchObject({
    lines: 13,
    stored: 0,
    duplicates: 5,
    rejected: 6,
  });
  expect(await rows(bench, "SELECT file, count(*)::int AS n FROM reject GROUP BY file ORDER BY file")).toEqual([
    { file: "copy.csv.gz", n: 6 },
    { file: "log.csv", n: 6 },
  ]);
  expect(await rows(bench, "SELECT count(*)::int AS n FROM event")).toEqual([{ n: 4 }]);
});

test("quoted, marked, in other encodings, by other separators: the same events", async () => {
  const profile = (more: string): ReturnType<typeof profileOf> =>
    profileOf(
      `profile: t\nformat: csv\n${more}fields: {time: time, station: station, event: event, badge: badge, sequence: sequence, detail: detail}\n`,
    );
  await ingestText(bench, "log.csv", log);
  const good = log.split("\n").slice(0, 3).join("\n");
  const same = { lines: 2, stored: 0, duplicates: 2, ignored: 0, blank: 0, rejected: 0, repaired: 0 };
  expect(counts(await ingestText(bench, "mark.csv", `\uFEFF${good}`))).toEqual(same);
  expect(counts(await ingestText(bench, "wide.csv", Buffer.from(`\uFEFF${good}`, "utf16le")))).toEqual(same);
  expect(counts(await ingestText(bench, "quoted.csv", good.replaceAll(/[^,\n]+/g, '"$&"')))).toEqual(same);
  expect(counts(await ingestText(bench, "windows.csv", `${good.replaceAll("\n", "\r\n")}\r\n`))).toEqual(same);
  expect(counts(await ingestText(bench, "mixed.csv", `${good.replace("\n", "\r").replace("\n", "\r\n")}\n`))).toEqual(same);
  expect(
    counts(await ingestText(bench, "tab.tsv", good.replaceAll(",", "\t"), { profile: profile("delimiter: tab\n") })),
  ).toEqual(same);
  expect(
    counts(await ingestText(bench, "latin.csv", Buffer.from(good, "latin1"), { profile: profile("encoding: latin-1\n") })),
  ).toEqual(same);
});
