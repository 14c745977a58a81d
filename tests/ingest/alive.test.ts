// Signs of life: counted to the line, kept compactly, told as stretches of their rhythm, the same in whatever order they come.
import fc from "fast-check";
import { afterEach, beforeEach, expect, test } from "vitest";
import { type Bench, counts, ingestText, openBench, rows } from "./logs.ts";

let bench: Bench;
beforeEach(async () => {
  bench = await openBench();
});
afterEach(() => bench.close());

const base = Date.UTC(2025, 0, 4, 10);
const sign = (seconds: number, sequence: number | "" = "", station = 1): string =>
  `${new Date(base + seconds * 1000).toISOString().replace(".000Z", "Z")},${station},alive,,${sequence}`;
const log = (lines: string[]): string => `time,station,event,badge,sequence\n${lines.join("\n")}\n`;
const stretches = (): Promise<Record<string, unknown>[]> =>
  rows(
    bench,
    "SELECT station, epoch(first_at)::int AS a, epoch(last_at)::int AS b, signs::int AS signs, longest_gap_seconds::int AS gap FROM alive_stretch ORDER BY ALL",
  );

test("a rhythm that held is one stretch, a silence parts two, and no event row is kept", async () => {
  const minutes = [...Array(300).keys()].filter((minute) => minute < 100 || minute > 130);
  const account = await ingestText(bench, "log.csv", log(minutes.map((minute) => sign(minute * 60))));
  expect(counts(account)).toMatchObject({ lines: 269, stored: 269, duplicates: 0 });
  expect(await stretches()).toEqual([
    { station: "1", a: base / 1000, b: base / 1000 + 99 * 60, signs: 100, gap: 60 },
    { station: "1", a: base / 1000 + 131 * 60, b: base / 1000 + 299 * 60, signs: 169, gap: 60 },
  ]);
  expect(await rows(bench, "SELECT count(*)::int AS n FROM event")).toEqual([{ n: 0 }]);
  expect(account.touched?.from).toEqual(new Date(base));
  expect(counts(await ingestText(bench, "again.csv", log(minutes.map((minute) => sign(minute * 60)))))).toMatchObject({
    stored: 0,
    duplicates: 269,
  });
});

test("the same second with another sequence number, a fraction or a detail is another line", async () => {
  const lines = [sign(0, 1), sign(0, 2), sign(0, 2), sign(0), sign(0.5, 1)];
  expect(counts(await ingestText(bench, "log.csv", log(lines)))).toMatchObject({ lines: 5, stored: 4, duplicates: 1 });
  expect(counts(await ingestText(bench, "more.csv", log([...lines, sign(0, 3)])))).toMatchObject({
    lines: 6,
    stored: 1,
    duplicates: 5,
  });
});

test("in any split and order, with repetition, the same signs and the same stretches", { timeout: 120_000 }, async () => {
  const signs = fc.uniqueArray(
    fc.record({ second: fc.integer({ min: 0, max: 20_000 }), station: fc.integer({ min: 1, max: 2 }) }),
    {
      minLength: 1,
      maxLength: 120,
      selector: ({ second, station }) => second * 2 + station,
    },
  );
  await fc.assert(
    fc.asyncProperty(signs, fc.integer({ min: 1, max: 4 }), fc.integer(), async (all, parts, salt) => {
      const whole = await openBench();
      const split = await openBench();
      try {
        const lines = all.map(({ second, station }, index) => sign(second, index % 3 === 0 ? "" : second, station));
        await ingestText(whole, "whole.csv", log([...lines].sort()));
        const shares = Array.from({ length: parts }, (_, part) =>
          lines.filter((_line, index) => (index * 7919 + salt) % parts === part || (index + salt) % 5 === 0),
        );
        let stored = 0;
        for (const [index, share] of shares.entries()) stored += (await ingestText(split, `${index}.csv`, log(share))).stored;
        expect(stored).toBe(new Set(shares.flat()).size);
        const rest = await ingestText(split, "rest.csv", log(lines));
        expect(stored + rest.stored).toBe(lines.length);
        const told =
          "SELECT station, first_at::VARCHAR, last_at::VARCHAR, signs::int, longest_gap_seconds FROM alive_stretch ORDER BY ALL";
        expect(await rows(split, told)).toEqual(await rows(whole, told));
      } finally {
        whole.close();
        split.close();
      }
    }),
    { seed: 20250104, numRuns: 5 },
  );
});
