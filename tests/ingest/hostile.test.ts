// Files that nobody would want: they never crash the reading and never cost another line.
import { afterAll, beforeAll, expect, test } from "vitest";
import { FailedError } from "../../shared/errors.ts";
import { hostileFiles } from "./hostile-files.ts";
import { type Bench, counts, ingestText, openBench, profileOf, rows } from "./logs.ts";

let bench: Bench;
beforeAll(async () => {
  bench = await openBench();
});
afterAll(() => bench.close());

test("a hundred hostile files: refused whole, or every good line stored and the five counts add up", {
  timeout: 300_000,
}, async () => {
  let stored = 0;
  for (const file of hostileFiles(417, 100)) {
    const what = `${file.name}: ${file.kinds.join(", ")}`;
    if (file.refused) {
      await expect(ingestText(bench, file.name, file.bytes), what).rejects.toThrow(FailedError);
    } else {
      const account = await ingestText(bench, file.name, file.bytes);
      const { lines, duplicates, ignored, blank, rejected } = account;
      expect({ what, stored: account.stored }).toEqual({ what, stored: file.good });
      expect({ what, lines }).toEqual({ what, lines: account.stored + duplicates + ignored + blank + rejected });
      stored += file.good;
    }
    const [told] = await rows(
      bench,
      "SELECT (SELECT count(*) FROM event)::int AS events, (SELECT count(*) FROM reject) = (SELECT sum(rejected) FROM reading) AS noted",
    );
    expect({ what, ...told }).toEqual({ what, events: stored, noted: true });
  }
  const [most] = await rows(bench, "SELECT max(strlen(text))::int AS most FROM reject");
  expect(Number(most?.most)).toBeLessThanOrEqual(1 << 20);
  expect(process.memoryUsage().rss).toBeLessThan(1e9);
});

test("a line of fifty megabytes is told by its beginning, length and hash, and the lines around it are stored", async () => {
  const own = await openBench();
  const log = Buffer.concat([
    Buffer.from("time,station,event,badge\n2025-01-04 10:00:00,1,enable,a\n"),
    Buffer.alloc(50 << 20, "x"),
    Buffer.from("\n2025-01-04 10:30:00,1,release,a\n"),
  ]);
  const account = await ingestText(own, "log.csv", log, {
    profile: profileOf("profile: p\nformat: csv\nfields: {time: time, station: station, event: event, badge: badge}\n"),
  });
  expect(counts(account)).toMatchObject({ lines: 3, stored: 2, rejected: 1 });
  const [reject] = await rows(own, "SELECT line::int AS line, length(text)::int AS length, right(text, 100) AS tail FROM reject");
  expect(reject?.line).toBe(3);
  expect(Number(reject?.length)).toBeLessThan((64 << 10) + 200);
  expect(reject?.tail).toMatch(/… \(52428800 bytes, sha256 [0-9a-f]{64}\)$/);
  own.close();
});

test("a quoted field may span lines; a quote that nobody closes costs its own line only", async () => {
  const own = await openBench();
  const head = "time,station,event,badge,sequence,detail\n";
  const spanning = `${head}2025-01-04 10:00:00,1,change,a,1,"two\nlines, ""quoted"""\n2025-01-04 10:01:00,1,enable,a,2,x\n`;
  expect(counts(await ingestText(own, "a.csv", spanning))).toMatchObject({ lines: 2, stored: 2, rejected: 0 });
  expect(await rows(own, "SELECT line::int AS line, detail FROM event ORDER BY line")).toEqual([
    { line: 2, detail: 'two\nlines, "quoted"' },
    { line: 4, detail: "x" },
  ]);
  const many = Array.from({ length: 5000 }, (_, index) => `2025-01-05 10:00:00,1,enable,a,${index},x`);
  const unclosed = `${head}2025-01-04 11:00:00,1,change,a,1,"never closed\n${many.join("\n")}\n`;
  expect(counts(await ingestText(own, "b.csv", unclosed))).toMatchObject({ lines: 5001, stored: 5000, rejected: 1 });
  expect(await rows(own, "SELECT line::int AS line, text FROM reject")).toEqual([
    { line: 2, text: '2025-01-04 11:00:00,1,change,a,1,"never closed' },
  ]);
  own.close();
});
