// Two published logs of charging posts: hours per station against the publishers' own durations, and the most in use at one time.
// Where they come from stands beside them in sample-logs/real/*/SOURCE.md. Read here by a plain CSV reader, not by ingest.
import { readFileSync } from "node:fs";
import { parse } from "csv-parse/sync";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { hours, occupancy, refreshRollups } from "../../analytics/index.ts";
import { addSessions, openShop, type Shop } from "./shop.ts";

const asked = { zone: "UTC", asOf: new Date("2021-01-01T00:00:00Z") };

interface Post {
  station: string;
  badge: string | null;
  start: string;
  end: string;
  hours: number;
}

function rowsOf(path: string): Record<string, string>[] {
  return parse(readFileSync(new URL(`../../sample-logs/real/${path}`, import.meta.url)), { columns: true });
}

const utc = (stamp: string) => `${stamp.replace(" ", "T")}Z`;
const workplace: Post[] = rowsOf("workplace-charging/station_data_dataverse.csv").map((row) => ({
  station: row.stationId!,
  badge: row.userId!,
  // The publisher writes 0014 for 2014.
  start: utc(row.created!.replace(/^00/, "20")),
  end: utc(row.ended!.replace(/^00/, "20")),
  hours: Number(row.chargeTimeHrs),
}));
const streets: Post[] = rowsOf("public-charging/charging_processes.csv").map((row) => ({
  station: row.charger_id!,
  badge: null,
  start: utc(row.start_time!),
  end: utc(row.end_time!),
  hours: Number(row.duration) / 3600,
}));

describe.each([
  // Computed from the files by a plain sweep, ends before starts: see the most in use below.
  ["charging at work", workplace, 105, 19],
  ["charging in the street", streets, 797, 213],
] as const)("%s", (_, posts, stations, peak) => {
  let shop: Shop;
  beforeAll(async () => {
    shop = await openShop();
    await addSessions(
      shop.connection,
      posts.map(({ station, badge, start, end }) => ({ machine: `station:${station}`, station, badge, start, end })),
    );
  });
  afterAll(() => shop.close());

  it("gives every station the publisher's hours to 0.001 h", async () => {
    const told = new Map<string, number>();
    for (const post of posts) told.set(`station:${post.station}`, (told.get(`station:${post.station}`) ?? 0) + post.hours);
    const { rows } = await hours(shop.connection, asked);
    expect(rows).toHaveLength(stations);
    const off = rows.filter((row) => !(Math.abs(row.enabledHours.best! - told.get(row.machine)!) < 0.001));
    expect(off).toEqual([]);
    expect(rows.reduce((sum, row) => sum + row.sessions!, 0)).toBe(posts.length);
  });

  it("adds up to the same over days and hours of the week", async () => {
    const total = posts.reduce((sum, post) => sum + (Date.parse(post.end) - Date.parse(post.start)) / 3_600_000, 0);
    for (const by of ["day", "hour-of-week"] as const) {
      const { rows } = await hours(shop.connection, { ...asked, by });
      expect(rows.reduce((sum, row) => sum + row.enabledHours.best!, 0)).toBeCloseTo(total, 6);
    }
  });

  it("finds the most in use at one time, with and without roll-ups", async () => {
    const steps = posts.flatMap(({ start, end }) => [
      { at: Date.parse(start), by: 1 },
      { at: Date.parse(end), by: -1 },
    ]);
    steps.sort((a, b) => a.at - b.at || a.by - b.by);
    let inUse = 0;
    let most = 0;
    for (const { by } of steps) {
      inUse += by;
      most = Math.max(most, inUse);
    }
    expect(most).toBe(peak);
    const raw = await occupancy(shop.connection, asked);
    expect(raw.shop.peak).toBe(peak);
    await refreshRollups(shop.connection, { zone: "UTC" });
    const stored = await occupancy(shop.connection, asked);
    expect(stored.shop).toMatchObject({
      peak,
      peakAt: raw.shop.peakAt,
      peakUnitsAt: raw.shop.peakUnitsAt,
      peakPeople: raw.shop.peakPeople,
    });
  });
});
