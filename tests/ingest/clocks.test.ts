// Local hours that come twice or never, offsets and counts of time, clocks that were not set.
import { afterEach, beforeEach, expect, test } from "vitest";
import { type Bench, counts, ingestText, openBench, profileOf, rows } from "./logs.ts";

let bench: Bench;
beforeEach(async () => {
  bench = await openBench();
});
afterEach(() => bench.close());

const header = "time,station,event,badge,sequence";
const halifax = { zone: "America/Halifax" };
const times = (): Promise<Record<string, unknown>[]> =>
  rows(bench, "SELECT line::int AS line, occurred_at::VARCHAR AS t, repair FROM event ORDER BY line");

// America/Halifax went from -03 to -04 on 2025-11-02 at 02:00 local (05:00 UTC), and from -04 to -03 on 2025-03-09 at 02:00.
test("autumn's repeated hour is told by where the lines step back, and marked", async () => {
  const log = [
    header,
    "2025-11-02 00:50:00,1,enable,a,",
    "2025-11-02 01:20:00,1,release,a,",
    "2025-11-02 01:40:00,2,enable,b,",
    "2025-11-02 01:10:00,2,release,b,",
    "2025-11-02 02:05:00,1,enable,a,",
  ].join("\n");
  const account = await ingestText(bench, "log.csv", log, halifax);
  expect(counts(account)).toMatchObject({ lines: 5, stored: 5, rejected: 0, repaired: 3 });
  expect(await times()).toEqual([
    { line: 2, t: "2025-11-02 03:50:00+00", repair: null },
    { line: 3, t: "2025-11-02 04:20:00+00", repair: "the hour that autumn repeats: the first time, by the order of lines" },
    { line: 4, t: "2025-11-02 04:40:00+00", repair: "the hour that autumn repeats: the first time, by the order of lines" },
    { line: 5, t: "2025-11-02 05:10:00+00", repair: "the hour that autumn repeats: the second time, by the order of lines" },
    { line: 6, t: "2025-11-02 06:05:00+00", repair: null },
  ]);
  expect(await rows(bench, "SELECT original FROM event WHERE line = 5")).toEqual([
    { original: "2025-11-02 01:10:00,2,release,b," },
  ]);
});

test("a log sorted by its local stamps is told by the station's own counter", async () => {
  const log = [
    header,
    "2025-11-02 01:10:00,1,enable,a,7",
    "2025-11-02 01:15:00,1,enable,a,9",
    "2025-11-02 01:20:00,1,release,a,8",
    "2025-11-02 01:25:00,1,release,a,10",
  ].join("\n");
  expect(counts(await ingestText(bench, "log.csv", log, halifax))).toMatchObject({ stored: 4, repaired: 4 });
  expect((await times()).map(({ t }) => t)).toEqual([
    "2025-11-02 04:10:00+00",
    "2025-11-02 05:15:00+00",
    "2025-11-02 04:20:00+00",
    "2025-11-02 05:25:00+00",
  ]);
});

test("what nothing can tell is rejected, as is spring's missing hour, unless the profile moves it on", async () => {
  const log = [
    header,
    "2025-11-02 01:10:00,1,enable,a,",
    "2025-03-09 02:30:00,1,enable,a,",
    "2025-03-09 03:30:00,1,release,a,",
  ].join("\n");
  expect(counts(await ingestText(bench, "log.csv", log, halifax))).toMatchObject({ stored: 1, rejected: 2, repaired: 0 });
  expect(await rows(bench, "SELECT line::int AS line, text, reason FROM reject ORDER BY line")).toEqual([
    {
      line: 2,
      text: "2025-11-02 01:10:00,1,enable,a,",
      reason: 'time "2025-11-02 01:10:00" happened twice in autumn, and nothing tells which of the two is meant',
    },
    {
      line: 3,
      text: "2025-03-09 02:30:00,1,enable,a,",
      reason:
        'time "2025-03-09 02:30:00" does not exist: spring leaves this hour out; impossible: shift in the profile moves it on',
    },
  ]);
  const profile = profileOf(
    "profile: house\nformat: csv\nimpossible: shift\nfields: {time: time, station: station, event: event, badge: badge, sequence: sequence}\n",
  );
  expect(counts(await ingestText(bench, "other.csv", log, { ...halifax, profile }))).toMatchObject({
    stored: 1,
    duplicates: 1,
    rejected: 1,
    repaired: 1,
  });
  expect(await rows(bench, "SELECT occurred_at::VARCHAR AS t, repair FROM event WHERE repair IS NOT NULL")).toEqual([
    { t: "2025-03-09 06:30:00+00", repair: "moved on out of the hour that spring leaves out" },
  ]);
});

test("offsets, counts of time, formats and dates in two columns give the same instants", async () => {
  const fields = "station: station, event: event";
  const read = async (name: string, time: string, text: string, head = "t,station,event"): Promise<void> => {
    const profile = profileOf(`profile: p\nformat: csv\nzone: America/Halifax\nfields: {time: ${time}, ${fields}}\n`);
    const account = await ingestText(bench, name, `${head}\n${text},1,boot\n`, { profile });
    expect([name, account.stored + account.duplicates]).toEqual([name, 1]);
  };
  await read("1", "t", "2025-07-04T09:00:00");
  await read("2", "t", "2025-07-04T14:00:00+02:00");
  await read("3", "t", "20250704T120000Z");
  await read("4", "{column: t, unit: s}", "1751630400");
  await read("5", "{column: t, unit: ms}", "1751630400000");
  await read("6", '{column: t, unit: s, origin: "2025-07-04"}', "43200");
  await read("7", '{column: t, format: "%d/%m/%Y %I:%M %p"}', "04/07/2025 09:00 AM");
  await read("8", '{column: t, format: "%d/%m/%Y %H:%M:%S %z"}', "04/07/2025 12:00:00 +0000");
  await read("9", '{column: [d, t], format: "%d.%m.%Y %H:%M"}', "04.07.2025,09:00", "d,t,station,event");
  expect(await rows(bench, "SELECT DISTINCT occurred_at::VARCHAR AS t FROM event")).toEqual([{ t: "2025-07-04 12:00:00+00" }]);
});

test("lines of a clock that was not set keep their distances and lie between the good lines around them", async () => {
  const log = [
    header,
    "2025-01-04 10:00:00,1,enable,a,1",
    "1970-01-01 00:00:05,1,boot,,2",
    "1970-01-01 00:01:05,1,enable,a,3",
    "1970-01-01 00:03:05,1,release,a,4",
    "2025-01-04 12:00:00,1,enable,a,5",
  ];
  expect(counts(await ingestText(bench, "half.csv", log.slice(0, 5).join("\n")))).toMatchObject({
    lines: 4,
    stored: 4,
    repaired: 3,
  });
  const before = await rows(
    bench,
    "SELECT occurred_at::VARCHAR AS t, early_at::VARCHAR AS early FROM event WHERE anchor IS NOT NULL ORDER BY line",
  );
  expect(before.map(({ t }) => t)).toEqual(["2025-01-04 10:00:00+00", "2025-01-04 10:01:00+00", "2025-01-04 10:03:00+00"]);
  const account = await ingestText(bench, "whole.csv", log.join("\n"));
  expect(counts(account)).toMatchObject({ lines: 5, stored: 1, duplicates: 4, repaired: 0 });
  expect(account.touched).toEqual({
    stations: ["1"],
    from: new Date("2025-01-04T10:00:00Z"),
    until: new Date("2025-01-04T12:00:00Z"),
  });
  const after = await rows(
    bench,
    "SELECT occurred_at::VARCHAR AS t, early_at::VARCHAR AS early, late_at::VARCHAR AS late, original FROM event WHERE anchor IS NOT NULL ORDER BY line",
  );
  expect(after).toEqual([
    { t: "2025-01-04 11:57:00+00", early: "2025-01-04 10:00:00+00", late: "2025-01-04 11:57:00+00", original: log[2] },
    { t: "2025-01-04 11:58:00+00", early: "2025-01-04 10:01:00+00", late: "2025-01-04 11:58:00+00", original: log[3] },
    { t: "2025-01-04 12:00:00+00", early: "2025-01-04 10:03:00+00", late: "2025-01-04 12:00:00+00", original: log[4] },
  ]);
});

test("the same unset stamps after another good line are other events", async () => {
  const stretch = ["1970-01-01 00:00:05,1,boot,,", "1970-01-01 00:01:05,1,enable,a,"];
  const log = [
    header,
    "2025-01-04 10:00:00,1,release,a,",
    ...stretch,
    "2025-01-04 11:00:00,1,release,a,",
    ...stretch,
    "2025-01-04 12:00:00,1,release,a,",
  ].join("\n");
  expect(counts(await ingestText(bench, "log.csv", log))).toMatchObject({ lines: 7, stored: 7, duplicates: 0, repaired: 4 });
  expect(counts(await ingestText(bench, "again.csv", log))).toMatchObject({ lines: 7, stored: 0, duplicates: 7 });
});

test("a server that came up with its saved time is one whose clock was not set", async () => {
  const log = [
    header,
    "2025-01-04 10:00:00,1,enable,a,",
    "2025-01-04 09:00:00,1,boot,,",
    "2025-01-04 09:02:00,2,enable,b,",
    "2025-01-04 11:00:00,2,release,b,",
  ].join("\n");
  expect(counts(await ingestText(bench, "log.csv", log))).toMatchObject({ lines: 4, stored: 4, repaired: 2 });
  expect((await times()).map(({ t }) => t)).toEqual([
    "2025-01-04 10:00:00+00",
    "2025-01-04 10:58:00+00",
    "2025-01-04 11:00:00+00",
    "2025-01-04 11:00:00+00",
  ]);
});

test("a server that came up with its saved time is found out without a boot where the stations' counters go on", async () => {
  const lines = (back: string[]) => [
    header,
    "2025-01-04 09:50:00,1,enable,a,7",
    "2025-01-04 09:55:00,2,enable,b,31",
    "2025-01-04 10:00:00,1,release,a,8",
    ...back,
    "2025-01-04 12:00:00,3,enable,c,5",
  ];
  const setBack = lines([
    "2025-01-04 09:20:00,2,release,b,32",
    "2025-01-04 09:30:00,1,enable,a,9",
    "2025-01-04 09:40:00,1,release,a,10",
  ]);
  expect(counts(await ingestText(bench, "log.csv", setBack.join("\n")))).toMatchObject({ stored: 7, repaired: 3 });
  expect((await times()).map(({ t }) => t)).toEqual([
    "2025-01-04 09:50:00+00",
    "2025-01-04 09:55:00+00",
    "2025-01-04 10:00:00+00",
    "2025-01-04 11:40:00+00",
    "2025-01-04 11:50:00+00",
    "2025-01-04 12:00:00+00",
    "2025-01-04 12:00:00+00",
  ]);
});

test.each([
  [
    "their numbers are those of late lines",
    ["2025-01-04 09:20:00,2,enable,b,28", "2025-01-04 09:30:00,2,release,b,29", "2025-01-04 09:40:00,2,refuse,b,30"],
  ],
  ["they are few", ["2025-01-04 09:20:00,2,release,b,32"]],
  [
    "nothing counts them",
    ["2025-01-04 09:20:00,2,release,b,", "2025-01-04 09:30:00,1,enable,a,", "2025-01-04 09:40:00,1,release,a,"],
  ],
])("lines that step back are late and believed where %s", async (_why, back) => {
  const log = [
    header,
    "2025-01-04 09:50:00,1,enable,a,7",
    "2025-01-04 09:55:00,2,enable,b,31",
    "2025-01-04 10:00:00,1,release,a,8",
    ...back,
  ];
  const account = await ingestText(bench, "log.csv", [...log, "2025-01-04 12:00:00,3,enable,c,5"].join("\n"));
  expect(counts(account)).toMatchObject({ stored: 4 + back.length, repaired: 0 });
});

test("a log of nothing but unset stamps is rejected with why", async () => {
  expect(counts(await ingestText(bench, "log.csv", `${header}\n1970-01-01 00:00:05,1,boot,,\n`))).toMatchObject({
    lines: 1,
    stored: 0,
    rejected: 1,
  });
  expect(await rows(bench, "SELECT text, field FROM reject")).toEqual([{ text: "1970-01-01 00:00:05,1,boot,,", field: "time" }]);
});
