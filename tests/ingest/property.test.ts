// Laws of the reading: any order of files, any repetition and any split of a log give the same stored lines.
import fc from "fast-check";
import { expect, test } from "vitest";
import { ingestText, openBench, rows } from "./logs.ts";

const header = "time,station,event,badge,sequence,detail\n";
const line = fc
  .record({
    minute: fc.integer({ min: 0, max: 400 }),
    station: fc.integer({ min: 1, max: 3 }),
    event: fc.constantFrom("enable", "release", "refuse", "boot", "jump"),
    badge: fc.constantFrom("", "00417", "417", "a b"),
    sequence: fc.option(fc.integer({ min: 0, max: 3 }), { nil: "" as const }),
    detail: fc.constantFrom("", "x", '"q, ""r"""'),
  })
  .map(({ minute, station, event, badge, sequence, detail }) => {
    const time = new Date(Date.UTC(2025, 5, 4, 8, minute)).toISOString();
    return `${time},${station},${event},${badge},${sequence},${detail}`;
  });

test("order, repetition and split of files change nothing of what is stored", { timeout: 240_000 }, async () => {
  await fc.assert(
    fc.asyncProperty(
      fc.array(line, { minLength: 1, maxLength: 60 }),
      fc.array(fc.nat(), { minLength: 1, maxLength: 3 }),
      async (lines, salts) => {
        // In the order of time, so that no boot looks like a clock set back.
        const log = [...lines].sort();
        const whole = await openBench();
        const parted = await openBench();
        try {
          const once = await ingestText(whole, "whole.csv", header + log.join("\n"));
          const good = log.filter((text) => !text.includes(",jump,"));
          expect(once.stored).toBe(new Set(good).size);
          expect(once.rejected).toBe(log.length - good.length);
          let stored = 0;
          for (const [index, salt] of salts.entries()) {
            const part = log.filter((_text, place) => (place * 31 + salt) % 3 !== 0);
            stored += (await ingestText(parted, `${index}.csv`, header + part.join("\n"))).stored;
          }
          stored += (await ingestText(parted, "rest.csv", header + log.join("\n"))).stored;
          expect(stored).toBe(once.stored);
          const all = "SELECT occurred_at::VARCHAR AS t, station, kind, badge, sequence, detail FROM event ORDER BY ALL";
          expect(await rows(parted, all)).toEqual(await rows(whole, all));
        } finally {
          whole.close();
          parted.close();
        }
      },
    ),
    { seed: 417, numRuns: 6 },
  );
});
