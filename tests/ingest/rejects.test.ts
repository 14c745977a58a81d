// The lines that were not understood: what is kept of them, and what becomes of them when they are read again.
import { join } from "node:path";
import { afterEach, beforeEach, expect, test } from "vitest";
import { listRejects, rejectsAgain, rejectsByReason } from "../../ingest/index.ts";
import { badgeHasher } from "../../shared/badges.ts";
import { inTransaction } from "../../shared/store.ts";
import { type Bench, counts, ingestText, openBench, profileOf, rows } from "./logs.ts";

let bench: Bench;
beforeEach(async () => {
  bench = await openBench();
});
afterEach(() => bench.close());

const profile = (map: string): ReturnType<typeof profileOf> =>
  profileOf(`profile: p\nformat: csv\nfields: {time: When, station: Unit, event: {column: Action, map: ${map}}, badge: Card}\n`);
const narrow = profile("{IN: enable}");
const mended = profile("{IN: enable, OUT: release}");
const log = "When,Unit,Action,Card\n2025-01-04 10:00,1,IN,00417\n2025-01-04 10:30,1,OUT,00417\n2025-01-04 11:00,1,JUMP,5\n";

test("after the profile is mended just the rejects are read again, and what is understood leaves the list", async () => {
  await ingestText(bench, "log.csv", log, { profile: narrow });
  expect((await listRejects(bench.connection)).map(({ line, reason }) => [line, reason])).toEqual([
    [3, 'event "OUT" is neither mapped nor ignored; expected one of IN'],
    [4, 'event "JUMP" is neither mapped nor ignored; expected one of IN'],
  ]);
  expect(await rejectsByReason(bench.connection)).toMatchObject([
    { rejects: 2, files: 1, first_line: 3, reason: "event … is neither mapped nor ignored; expected one of IN" },
  ]);
  const accounts = await inTransaction(bench.connection, () =>
    rejectsAgain(bench.connection, { profile: mended, zone: "UTC", storedBadge: (badge) => badge, workDir: bench.store.workDir }),
  );
  expect(accounts.map(counts)).toEqual([{ lines: 2, stored: 1, duplicates: 0, ignored: 0, blank: 0, rejected: 1, repaired: 0 }]);
  expect(await listRejects(bench.connection)).toMatchObject([{ file: "log.csv", line: 4, text: "2025-01-04 11:00,1,JUMP,5" }]);
  expect(await rows(bench, "SELECT line::int AS line, kind FROM event ORDER BY line")).toEqual([
    { line: 2, kind: "enable" },
    { line: 3, kind: "release" },
  ]);
  expect(counts(await ingestText(bench, "log.csv", log, { profile: mended }))).toMatchObject({
    stored: 0,
    duplicates: 2,
    rejected: 1,
  });
  expect(await listRejects(bench.connection)).toHaveLength(1);
});

test("reading the file again by the mended profile clears the list as well; another file of that name does not", async () => {
  await ingestText(bench, "log.csv", log, { profile: narrow });
  await ingestText(bench, "log.csv", "When,Unit,Action,Card\n2025-02-04 10:00,1,IN,00417\n2025-02-04 10:30,1,IN,00417\n", {
    profile: narrow,
  });
  expect((await listRejects(bench.connection)).map(({ line }) => line)).toEqual([3, 4]);
  await ingestText(bench, "log.csv", log, { profile: mended });
  expect((await listRejects(bench.connection)).map(({ line }) => line)).toEqual([4]);
});

test("where badges are hashed no reject tells one, and reading it again finds the same badge", async () => {
  const storedBadge = badgeHasher(join(bench.folder, "key"), "hashed");
  const torn = `${log}2025-01-04 12:00,1,IN,00417,x\n2025-01-04 12:00,"1,IN,00417\n`;
  await ingestText(bench, "log.csv", torn, { profile: narrow, storedBadge });
  const rejects = await listRejects(bench.connection);
  expect(rejects.map(({ line }) => line)).toEqual([3, 4, 5, 6]);
  for (const { text, reason } of rejects) expect(`${text} ${reason}`).not.toMatch(/417/);
  await inTransaction(bench.connection, () =>
    rejectsAgain(bench.connection, { profile: mended, zone: "UTC", storedBadge, workDir: bench.store.workDir }),
  );
  expect(await rows(bench, "SELECT DISTINCT badge FROM event")).toEqual([{ badge: storedBadge("00417") }]);
  expect(await rows(bench, "SELECT count(*)::int AS n FROM event")).toEqual([{ n: 2 }]);
});
