// A day has 23, 24, 24½ or 25 hours. Clock changes: IANA time zone database, as DuckDB carries it.
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { hours } from "../../analytics/index.ts";
import { addSessions, openShop, type Shop } from "./shop.ts";

let shop: Shop;
beforeAll(async () => {
  shop = await openShop();
});
afterAll(() => shop.close());

// The local day, its first and last instant, and which local hour is left out or comes twice, with its length.
const days = [
  ["America/Halifax", "2025-03-09", "2025-03-09T04:00:00Z", "2025-03-10T03:00:00Z", 23, 2, 0],
  ["America/Halifax", "2025-11-02", "2025-11-02T03:00:00Z", "2025-11-03T04:00:00Z", 25, 1, 2],
  ["Europe/Lisbon", "2025-03-30", "2025-03-30T00:00:00Z", "2025-03-30T23:00:00Z", 23, 1, 0],
  ["Europe/Lisbon", "2025-10-26", "2025-10-25T23:00:00Z", "2025-10-27T00:00:00Z", 25, 1, 2],
  ["Australia/Lord_Howe", "2025-04-06", "2025-04-05T13:00:00Z", "2025-04-06T13:30:00Z", 24.5, 1, 1.5],
  ["Australia/Lord_Howe", "2025-10-05", "2025-10-04T13:30:00Z", "2025-10-05T13:00:00Z", 23.5, 2, 0.5],
  // Midnight itself comes twice here: the day begins with the earlier.
  ["America/Havana", "2025-11-02", "2025-11-02T04:00:00Z", "2025-11-03T05:00:00Z", 25, 0, 2],
] as const;

describe("local days and hours", () => {
  it.each(days)("%s %s", async (zone, _, from, until, length, hour, hourLength) => {
    await shop.connection.run("DELETE FROM session");
    const around = (at: string, by: number) => new Date(Date.parse(at) + by * 3_600_000).toISOString();
    await addSessions(shop.connection, [
      { machine: "saw", start: around(from, -5), end: around(until, 5) },
      {
        machine: "lathe",
        start: around(from, -5),
        ended: "lost",
        low: from,
        best: until,
        high: around(until, 5),
        draws: () => (length + 10) * 3600,
      },
    ]);
    const asked = { zone, asOf: new Date("2026-01-01T00:00:00Z") };
    const byDay = (await hours(shop.connection, { ...asked, by: "day" })).rows;
    for (const machine of ["saw", "lathe"]) {
      const mine = byDay.filter((row) => row.machine === machine);
      expect(mine.map((row) => row.enabledHours.best)).toEqual([5, length, 5]);
      expect(mine[1]).toMatchObject({ from, until });
    }
    const dayOnly = { ...asked, since: new Date(from), until: new Date(until), machine: "saw" };
    const byHour = (await hours(shop.connection, { ...dayOnly, by: "hour-of-week" })).rows;
    expect(byHour.reduce((sum, row) => sum + row.enabledHours.best!, 0)).toBeCloseTo(length, 9);
    const changed = byHour.filter((row) => row.hourOfWeek! % 24 === hour).map((row) => row.enabledHours.best);
    expect(changed).toEqual(hourLength === 0 ? [] : [hourLength]);
    for (const row of byHour) if (row.hourOfWeek! % 24 !== hour) expect(row.enabledHours.best).toBe(1);
  });

  it("weeks start on Monday, local", async () => {
    await shop.connection.run("DELETE FROM session");
    await addSessions(shop.connection, [{ machine: "saw", start: "2025-03-09T10:00:00Z", end: "2025-03-10T05:00:00Z" }]);
    const { rows } = await hours(shop.connection, {
      by: "week",
      zone: "America/Halifax",
      asOf: new Date("2026-01-01T00:00:00Z"),
    });
    expect(rows.map(({ from, until, enabledHours }) => [from, until, enabledHours.best])).toEqual([
      ["2025-03-03T04:00:00Z", "2025-03-10T03:00:00Z", 17],
      ["2025-03-10T03:00:00Z", "2025-03-17T03:00:00Z", 2],
    ]);
  });
});
