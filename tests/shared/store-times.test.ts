import type { DuckDBConnection } from "@duckdb/node-api";
import { afterAll, beforeAll, expect, test } from "vitest";
import { openStore, type Store } from "../../shared/store.ts";
import { instantsFromLocal, storeInstantFromTyped } from "../../shared/store-times.ts";
import { instantFromTyped } from "../../shared/times.ts";
import { isZone, knownZones } from "../../shared/words.ts";

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

test("a local time that comes twice is the first of the two, one that is left out is moved on", async () => {
  const found = await instantsFromLocal(connection, "Atlantic/Azores", [
    "2025-10-26T00:00:00",
    "2025-03-30T00:30:00",
    "2025-07-01T12:00:00.25",
  ]);
  // Azores: 26 October 2025 01:00 UTC the clocks go from 01:00 back to midnight; 30 March 01:00 UTC from midnight on to 01:00.
  expect(Object.fromEntries(found)).toEqual({
    "2025-10-26T00:00:00": "2025-10-26T00:00:00.000000Z",
    "2025-03-30T00:30:00": "2025-03-30T01:30:00.000000Z",
    "2025-07-01T12:00:00.25": "2025-07-01T12:00:00.250000Z",
  });
});

test("where both know a zone's rules alike, the store and Node mean the same instant, also when clocks change", async () => {
  // Lisbon, Halifax, Lord Howe, Santiago and Kathmandu have kept their rules since before either's zone data.
  for (const zone of ["Europe/Lisbon", "America/Halifax", "Australia/Lord_Howe", "America/Santiago", "Asia/Kathmandu", "UTC"]) {
    for (const text of [
      "2025-03-30",
      "2025-09-07",
      "2025-03-09T02:30",
      "2025-11-02 01:30:15",
      "2025-04-06T01:45",
      "2025-10-05T02:15:00.5",
      "2025-06-01T10:00+02:00",
    ]) {
      for (const side of ["since", "until", "instant"] as const) {
        const options = { field: "--since", side };
        expect(await storeInstantFromTyped(connection, text, zone, options)).toEqual(instantFromTyped(text, zone, options));
      }
    }
  }
});

test("now is now, and what is no time is told", async () => {
  const now = new Date("2025-06-01T12:00:00Z");
  expect(await storeInstantFromTyped(connection, "now", "UTC", { field: "--as-of", side: "instant", now })).toEqual(now);
  await expect(storeInstantFromTyped(connection, "2025-02-30", "UTC", { field: "--as-of", side: "instant" })).rejects.toThrow(
    "--as-of",
  );
});

test("every zone that a workshop may name is one that the store knows", async () => {
  const zones = [...knownZones(), "Japan", "CET", "utc", "europe/lisbon", "Etc/GMT+3"];
  expect(zones.filter((zone) => !isZone(zone))).toEqual([]);
  const reader = await connection.runAndReadAll(
    "SELECT count(timezone(zone, TIMESTAMP '2025-01-01'))::int FROM (SELECT unnest(from_json_strict($zones, '[\"VARCHAR\"]')) AS zone)",
    { zones: JSON.stringify(zones) },
  );
  expect(reader.getRows()).toEqual([[zones.length]]);
});

test.each(["PST", "IST", "UTC+2", "+01:00", "Lisbon", "", "Mars/Olympus"])("%j is no zone", (zone) => {
  expect(isZone(zone)).toBe(false);
});
