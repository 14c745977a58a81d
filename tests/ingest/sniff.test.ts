// Unknown files: the profile that is proposed, what it asks, and what it says of a file that is no log.
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { sniffFile, tryProfile } from "../../ingest/index.ts";

const real = new URL("../../sample-logs/real/", import.meta.url).pathname;
const folder = mkdtempSync(join(tmpdir(), "almanac-sniff-test-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function sniffed(text: string | Uint8Array): Promise<Awaited<ReturnType<typeof sniffFile>>> {
  const path = join(folder, "unknown");
  writeFileSync(path, text);
  return sniffFile(path);
}

test("the workplace charging log: two stamps with cut years, stations, badges", async () => {
  const found = await sniffFile(join(real, "workplace-charging/station_data_dataverse.csv"));
  expect(found).toMatchObject({ kind: "log", format: "csv", rejected: 0, profile: { rows: "sessions" } });
  if (found.kind !== "log") return;
  expect(found.yaml).toContain("start: {column: created, add_years: 2000}");
  expect(found.yaml).toContain("finish: {column: ended, add_years: 2000}");
  expect(found.yaml).toMatch(/station: stationId .*\n {2}badge: userId/);
  expect(found.rows[0]).toMatchObject({ line: 2, station: "582873", badge: "35897499", time: new Date("2014-11-18T15:40:26Z") });
  expect(found.questions.some((text) => text.includes("2000 years"))).toBe(true);
});

test("the public charging log", async () => {
  const found = await sniffFile(join(real, "public-charging/charging_processes.csv"));
  expect(found).toMatchObject({
    kind: "log",
    rejected: 0,
    profile: {
      rows: "sessions",
      fields: { start: { column: ["start_time"] }, finish: { column: ["end_time"] }, station: { column: ["charger_id"] } },
    },
  });
});

const days = (order: (day: number, month: number) => string, upTo: number): string =>
  `When;Unit;Action;Card;Count\n${Array.from({ length: 60 }, (_, index) => `${order(1 + (index % upTo), 1 + (index % 12))}/2025 09:${10 + (index % 50)}:00;${index % 6};${index % 2 ? "OUT" : "IN"};00${index % 9};${index}`).join("\n")}\n`;

test("the values decide between day and month where they can, and where they can't it is a question", async () => {
  const dayFirst = await sniffed(days((day, month) => `${day}/${month}`, 28));
  const monthFirst = await sniffed(days((day, month) => `${month}/${day}`, 28));
  const open = await sniffed(days((day, month) => `${day}/${month}`, 12));
  const question = /day or month comes first/;
  expect(dayFirst).toMatchObject({
    kind: "log",
    rejected: 0,
    profile: {
      delimiter: ";",
      fields: {
        time: { format: "%d/%m/%Y %H:%M:%S" },
        event: { map: { IN: "enable", OUT: "release" } },
        sequence: { column: ["Count"] },
      },
    },
  });
  expect(monthFirst).toMatchObject({ kind: "log", rejected: 0, profile: { fields: { time: { format: "%m/%d/%Y %H:%M:%S" } } } });
  expect(
    [dayFirst, monthFirst, open].map((found) => found.kind === "log" && found.questions.some((text) => question.test(text))),
  ).toEqual([false, false, true]);
});

test("lines of JSON, an array of them, and wide characters", async () => {
  const records = Array.from({ length: 30 }, (_, index) => ({
    at: 1_750_000_000 + index * 60,
    info: { reader: `r${index % 4}`, user: `u${index % 5}` },
    what: index % 2 ? "logout" : "login",
  }));
  const expected = {
    kind: "log",
    rejected: 0,
    profile: {
      rows: "events",
      fields: { time: { unit: "s" }, station: { column: ["info.reader"] }, badge: { column: ["info.user"] } },
    },
  };
  expect(await sniffed(records.map((record) => JSON.stringify(record)).join("\n"))).toMatchObject({
    ...expected,
    format: "ndjson",
  });
  expect(await sniffed(JSON.stringify(records, null, 2))).toMatchObject({ ...expected, format: "json" });
  expect(await sniffed(Buffer.from(`\ufeff${days((day, month) => `${day}/${month}`, 28)}`, "utf16le"))).toMatchObject({
    kind: "log",
    rejected: 0,
    profile: { encoding: "utf-16" },
  });
});

test("what is no event log is told with why", async () => {
  expect(await sniffed('"hours","event","count"\n50,"Censored",288\n150,"Censored",148\n230,"Failed",1\n')).toEqual({
    kind: "none",
    why: "no column reads as a date",
  });
  expect(await sniffed("Dear all,\nthe saw is blunt.\n")).toMatchObject({ kind: "none" });
  expect(await sniffed("")).toEqual({ kind: "none", why: "the file is empty" });
  expect(await sniffed(Buffer.from(Array.from({ length: 5000 }, (_, index) => (index * 7919) % 256)))).toMatchObject({
    kind: "none",
  });
});

const inWords = (enter: string, leave: string): string =>
  `Time,Reader,Action,Card\n${Array.from({ length: 60 }, (_, index) => `2025-03-${String(1 + (index % 28)).padStart(2, "0")} 09:${10 + (index % 50)}:00,${index % 6},${index % 2 ? leave : enter},00${index % 9}`).join("\n")}\n`;

test("words beside the one that counts are seen through; words nobody knows are a question", async () => {
  const seen = await sniffed(inWords("card in", "card out"));
  expect(seen).toMatchObject({ profile: { fields: { event: { map: { "card in": "enable", "card out": "release" } } } } });
  const open = await sniffed(inWords("hinein", "hinaus"));
  if (open.kind !== "log") throw new Error("taken for no log");
  expect(open.questions.join("\n")).toMatch(/Does Action say what happened\? What do its words mean: hinein, hinaus\?/);
  expect(open.yaml).toContain("  event: {column: Action, map: {hinein: enable, hinaus: enable}}");
  const mended = open.yaml.replace("hinaus: enable", "hinaus: release");
  const tried = await tryProfile(join(folder, "unknown"), "unknown", mended, { zone: "Europe/Lisbon", rows: 4 });
  expect(tried).toMatchObject({ lines: 60, stored: 60, rejected: 0 });
  expect(tried.rows.map(({ event }) => event)).toEqual(["enable", "release", "enable", "release"]);
  const wrong = await tryProfile(join(folder, "unknown"), "unknown", mended.replace("hinaus: release", "weg: release"));
  expect(wrong).toMatchObject({
    rejected: 30,
    rejects: expect.arrayContaining([{ line: 3, text: expect.any(String), reason: expect.stringContaining("hinaus") }]),
  });
});

test("the workshop's zone is named where it is known, and no other is made up", async () => {
  const path = join(folder, "unknown");
  writeFileSync(path, inWords("in", "out"));
  const [known, open] = [await sniffFile(path, "log", { zone: "America/Halifax" }), await sniffFile(path)];
  if (known.kind !== "log" || open.kind !== "log") throw new Error("taken for no log");
  expect(known.yaml).toContain("# zone: America/Halifax #");
  expect(known.questions.join("\n")).toContain("are they in the workshop's own zone, America/Halifax?");
  expect(open.yaml).toContain("# zone: Region/City #");
});
