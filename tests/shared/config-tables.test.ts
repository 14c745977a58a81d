import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { DuckDBConnection } from "@duckdb/node-api";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { badgeHasher } from "../../shared/badges.ts";
import { applyWorkshop, ensureOpening } from "../../shared/config-tables.ts";
import { inTransaction, openStore, type Store } from "../../shared/store.ts";
import { loadWorkshop, type WorkshopFile } from "../../shared/workshop.ts";

const folder = mkdtempSync(join(tmpdir(), "almanac-config-"));
let files = 0;

function workshop(text: string, roster = "badge,person\n"): WorkshopFile {
  files += 1;
  const path = join(folder, `workshop-${files}.yaml`);
  writeFileSync(join(folder, `roster-${files}.csv`), roster);
  writeFileSync(path, `${text.trim()}\nroster: roster-${files}.csv\n`);
  return loadWorkshop(path);
}

let store: Store;
let connection: DuckDBConnection;
beforeAll(async () => {
  store = await openStore(":memory:");
  connection = await store.connect();
});
afterAll(() => {
  connection.closeSync();
  store.close();
});

const asWritten = (badge: string): string => badge;
const now = new Date("2025-06-01T12:00:00Z");

const apply = (file: WorkshopFile, storedBadge = asWritten): Promise<boolean> =>
  inTransaction(connection, () => applyWorkshop(connection, file, { storedBadge, horizonDays: 400, now }));

/** All columns as text, so that infinities and microseconds show. */
async function rows(sql: string): Promise<unknown[][]> {
  return (await connection.runAndReadAll(sql)).getRowsJson() as unknown[][];
}

const openingOf = (days: string): Promise<unknown[][]> =>
  rows(`SELECT strftime(timezone('UTC', from_at), '%m-%d %H:%M'), strftime(timezone('UTC', until_at), '%m-%d %H:%M'), state,
    strftime(day, '%m-%d'), date_diff('minute', from_at, until_at)::int FROM opening WHERE day IN (${days}) ORDER BY from_at`);

const wholeWeek = (hours: string): string =>
  `{${["mon", "tue", "wed", "thu", "fri", "sat", "sun"].map((day) => `${day}: ${hours}`).join(", ")}}`;

describe("opening hours on the days of 23, 25, 23½ and 24½ hours", () => {
  // Transitions of 2025 by the IANA time zone database, files europe, northamerica and australasia (rules EU, US/Canada, LH):
  // Lisbon 30 March 01:00 UTC, 26 October 01:00 UTC; Halifax 9 March 06:00 UTC, 2 November 05:00 UTC; Lord Howe 5 April 15:00
  // UTC (half an hour back), 4 October 15:30 UTC (half an hour on).
  test.each([
    ["Europe/Lisbon", "2025-03-30", 23 * 60, "03-30 00:00", "03-30 23:00"],
    ["Europe/Lisbon", "2025-10-26", 25 * 60, "10-25 23:00", "10-27 00:00"],
    ["America/Halifax", "2025-03-09", 23 * 60, "03-09 04:00", "03-10 03:00"],
    ["America/Halifax", "2025-11-02", 25 * 60, "11-02 03:00", "11-03 04:00"],
    ["Australia/Lord_Howe", "2025-04-06", 24.5 * 60, "04-05 13:00", "04-06 13:30"],
    ["Australia/Lord_Howe", "2025-10-05", 23.5 * 60, "10-04 13:30", "10-05 13:00"],
  ])("%s on %s has %i minutes", async (zone, day, minutes, from, until) => {
    await apply(workshop(`workshop: {name: A, zone: ${zone}}\nhours: {staffed: ${wholeWeek('["00:00-24:00"]')}}`));
    expect(await openingOf(`'${day}'`)).toEqual([[from, until, "staffed", day.slice(5), minutes]]);
  });

  test("a doubled hour is open from its first to its last minute, a missing one makes the evening shorter", async () => {
    await apply(workshop(`workshop: {name: A, zone: America/Halifax}\nhours: {member: ${wholeWeek('["01:30-05:00"]')}}`));
    // 2 November: 01:30 ADT is 04:30 UTC, 05:00 AST is 09:00 UTC. 9 March: 01:30 AST is 05:30 UTC, 05:00 ADT is 08:00 UTC.
    expect(await openingOf("'2025-11-02', '2025-03-09'")).toEqual([
      ["03-09 05:30", "03-09 08:00", "member", "03-09", 150],
      ["11-02 04:30", "11-02 09:00", "member", "11-02", 270],
    ]);
  });

  test("past midnight belongs to its first day, over the change too", async () => {
    await apply(workshop(`workshop: {name: A, zone: Europe/Lisbon}\nhours: {staffed: {sat: ["22:00-04:00"]}}`));
    // Saturday 29 March 22:00 WET is 22:00 UTC, Sunday 04:00 WEST is 03:00 UTC.
    expect(await openingOf("'2025-03-29', '2025-03-30'")).toEqual([["03-29 22:00", "03-30 03:00", "staffed", "03-29", 300]]);
  });
});

describe("opening hours", () => {
  test("an exception replaces its whole day, and the last of two holds", async () => {
    await apply(
      workshop(`
workshop: {name: A, zone: UTC}
hours:
  staffed: {tue: ["18:00-22:00"]}
  member: {tue: ["08:00-12:00"], wed: ["08:00-12:00"]}
  exceptions:
    - {from: 2025-01-07, until: 2025-01-08, staffed: ["09:00-17:00"]}
    - {date: 2025-01-08, closed: true}
`),
    );
    expect(await openingOf("'2025-01-06', '2025-01-07', '2025-01-08', '2025-01-14'")).toEqual([
      ["01-07 09:00", "01-07 17:00", "staffed", "01-07", 480],
      ["01-14 08:00", "01-14 12:00", "member", "01-14", 240],
      ["01-14 18:00", "01-14 22:00", "staffed", "01-14", 240],
    ]);
  });

  test("where staffed and member hours meet, staffed ones hold, also those of the night before", async () => {
    await apply(
      workshop(`
workshop: {name: A, zone: UTC}
hours: {staffed: {tue: ["18:00-22:00"], fri: ["22:00-02:00"]}, member: {tue: ["08:00-24:00"], sat: ["00:00-08:00"]}}
`),
    );
    expect(await openingOf("'2025-01-14', '2025-01-17', '2025-01-18'")).toEqual([
      ["01-14 08:00", "01-14 18:00", "member", "01-14", 600],
      ["01-14 18:00", "01-14 22:00", "staffed", "01-14", 240],
      ["01-14 22:00", "01-15 00:00", "member", "01-14", 120],
      ["01-17 22:00", "01-18 02:00", "staffed", "01-17", 240],
      ["01-18 02:00", "01-18 08:00", "member", "01-18", 360],
    ]);
    const overlaps = await rows(
      "SELECT count(*)::int FROM opening a JOIN opening b ON a.from_at < b.from_at AND b.from_at < a.until_at",
    );
    expect(overlaps).toEqual([[0]]);
  });

  test("reach from a year ago to the horizon, and grow with the log", async () => {
    const file = workshop(`workshop: {name: A, zone: UTC}\nhours: {staffed: ${wholeWeek('["10:00-12:00"]')}}`);
    await apply(file);
    const reach = "SELECT min(day)::VARCHAR, max(day)::VARCHAR, count(*)::int FROM opening";
    // 365 days before 1 June 2025, and the day before for what began in it; 400 days after, and a month to spare.
    expect(await rows(reach)).toEqual([["2024-05-31", "2026-08-06", 798]]);
    expect(await ensureOpening(connection, file, { horizonDays: 400, now })).toBe(false);
    await connection.run(
      "INSERT INTO event (reading_id, line, occurred_at, station, kind) VALUES (1, 1, '2021-03-04T10:00:00Z'::TIMESTAMPTZ, '1', 'boot')",
    );
    try {
      expect(await ensureOpening(connection, file, { horizonDays: 400, now })).toBe(true);
      expect(await rows("SELECT min(day)::VARCHAR FROM opening")).toEqual([["2021-03-03"]]);
      expect(await apply(file)).toBe(false);
    } finally {
      await connection.run("DELETE FROM event");
    }
  });

  test("no hours, no rows", async () => {
    await apply(workshop("workshop: {name: A, zone: UTC}"));
    expect(await rows("SELECT count(*)::int FROM opening")).toEqual([[0]]);
  });
});

describe("the workshop file as tables", () => {
  const text = `
workshop: {name: A, zone: America/Halifax}
rooms: [{id: wood}]
machines:
  - id: planer
    group: planers
    room: wood
    hazard: high
    alone: never
    from: 2023-05-01
    until: 2025-12-31
    stations: [{station: 21, from: 2023-05-01, until: 2025-03-01}, {station: 00417, from: 2025-03-01}]
    run_factor: 0.9
    meter_readings: [{time: 2025-01-04T10:00, hours: 812.4}, {time: "2025-07-04T10:00+02:00", hours: 900}]
    outages: [{from: 2025-06-02, until: 2025-06-20, reason: bearing}, {from: 2025-11-02T01:30}]
  - {id: dust, driven_by: {planer: {load: 6}}, run_on_seconds: 30}
  - {id: compressor, always_on: true, name: Air}
`;

  test("days, stamps and spans become instants", async () => {
    expect(await apply(workshop(text))).toBe(true);
    expect(
      await rows(
        "SELECT machine, ordinal, name, group_id, room, hazard, alone, kind, run_on_seconds FROM machine ORDER BY ordinal",
      ),
    ).toEqual([
      ["planer", 0, "planer", "planers", "wood", "high", "never", "stations", 0],
      ["dust", 1, "dust", "dust", null, "medium", null, "driven", 30],
      ["compressor", 2, "Air", "compressor", null, "medium", null, "always-on", 0],
    ]);
    expect(
      await rows(
        "SELECT from_at::VARCHAR, until_at::VARCHAR, run_factor_best, run_factor_high FROM machine WHERE machine = 'planer'",
      ),
    ).toEqual([["2023-05-01 03:00:00+00", "2026-01-01 04:00:00+00", 0.9, 1]]);
    expect(await rows("SELECT station, from_at::VARCHAR, until_at::VARCHAR FROM machine_station ORDER BY from_at")).toEqual([
      ["21", "2023-05-01 03:00:00+00", "2025-03-01 04:00:00+00"],
      ["00417", "2025-03-01 04:00:00+00", "2026-01-01 04:00:00+00"],
    ]);
    expect(await rows("SELECT machine, driver, load FROM machine_driver")).toEqual([["dust", "planer", 6]]);
    expect(await rows("SELECT read_at::VARCHAR, hours FROM machine_meter ORDER BY read_at")).toEqual([
      ["2025-01-04 14:00:00+00", 812.4],
      ["2025-07-04 08:00:00+00", 900],
    ]);
    // 01:30 comes twice on 2 November 2025: the first is 04:30 UTC.
    expect(await rows("SELECT from_at::VARCHAR, until_at::VARCHAR, reason FROM machine_outage ORDER BY from_at")).toEqual([
      ["2025-06-02 03:00:00+00", "2025-06-21 03:00:00+00", "bearing"],
      ["2025-11-02 04:30:00+00", "infinity", null],
    ]);
  });

  test("a station without dates is its machine's for ever", async () => {
    await apply(workshop("workshop: {name: A, zone: UTC}\nmachines: [{id: saw, stations: [7]}]"));
    expect(await rows("SELECT station, from_at::VARCHAR, until_at::VARCHAR FROM machine_station")).toEqual([
      ["7", "-infinity", "infinity"],
    ]);
  });

  test("only a change rewrites: of the file, of the roster, of the key of badges", async () => {
    const roster = "badge,person,valid_from,machines\n00417,p1,2024-01-01,planer dust\n";
    const file = workshop(text, roster);
    expect(await apply(file)).toBe(true);
    expect(await apply(file)).toBe(false);
    expect(await rows("SELECT badge, person, name, role, valid_from::VARCHAR, valid_until, machines FROM roster")).toEqual([
      ["00417", "p1", null, "member", "2024-01-01", null, '["planer","dust"]'],
    ]);
    const hashed = badgeHasher(join(folder, "one.key"), "hashed");
    expect(await apply(file, hashed)).toBe(true);
    expect(await apply(file, hashed)).toBe(false);
    expect(await rows("SELECT badge FROM roster")).toEqual([[hashed("00417")]]);
    expect(await apply({ ...file, fingerprint: "other" }, hashed)).toBe(true);
  });

  test("what fails leaves what was", async () => {
    await apply(workshop(text));
    const before = await rows("SELECT * FROM machine ORDER BY ordinal");
    const broken = workshop("workshop: {name: A, zone: UTC}\nmachines: [{id: saw, stations: [7]}]");
    const failing = inTransaction(connection, async () => {
      await applyWorkshop(connection, broken, { storedBadge: asWritten, horizonDays: 400, now });
      throw new Error("later in the same transaction");
    });
    await expect(failing).rejects.toThrow("later in the same transaction");
    expect(await rows("SELECT * FROM machine ORDER BY ordinal")).toEqual(before);
  });
});
