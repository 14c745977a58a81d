import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { hours, occupancy, sessions } from "../../analytics/index.ts";
import { addMachines, addSessions, openShop, type Shop } from "./shop.ts";

let shop: Shop;
beforeEach(async () => {
  shop = await openShop();
});
afterEach(() => shop.close());

const zone = "America/Halifax";
const asOf = new Date("2025-12-31T00:00:00Z");

describe("hours", () => {
  it("adds a session that was seen to end to the second, in all buckets", async () => {
    await addMachines(shop.connection, [{ machine: "saw", runFactor: { low: 0.4, best: 0.5, high: 0.6 } }]);
    await addSessions(shop.connection, [
      { machine: "saw", start: "2025-06-02T22:30:00Z", end: "2025-06-03T04:15:30Z", badge: "a" },
      { machine: "saw", start: "2025-06-03T12:00:00Z", end: "2025-06-03T12:00:01Z", badge: "b" },
    ]);
    const { rows } = await hours(shop.connection, { by: "day", asOf, zone });
    expect(
      rows.map(({ from, until, sessions, starts, members, enabledHours }) => [
        from,
        until,
        sessions,
        starts,
        members,
        enabledHours.best,
      ]),
    ).toEqual([
      ["2025-06-02T03:00:00Z", "2025-06-03T03:00:00Z", 1, 1, 1, 4.5],
      ["2025-06-03T03:00:00Z", "2025-06-04T03:00:00Z", 1, 1, 1, 1 + 15.5 / 60 + 1 / 3600],
    ]);
    const week = await hours(shop.connection, { by: "hour-of-week", asOf, zone });
    expect(week.rows.map((row) => [row.hourOfWeek, row.enabledHours.best])).toEqual([
      [19, 0.5],
      [20, 1],
      [21, 1],
      [22, 1],
      [23, 1],
      [24, 1],
      [25, 15.5 / 60],
      [33, 1 / 3600],
    ]);
  });

  it("clips to the span and to the as-of time", async () => {
    await addSessions(shop.connection, [{ machine: "saw", start: "2025-06-02T10:00:00Z", end: "2025-06-02T14:00:00Z" }]);
    const cut = await hours(shop.connection, {
      since: new Date("2025-06-02T11:00:00Z"),
      until: new Date("2025-06-02T15:00:00Z"),
      asOf: new Date("2025-06-02T13:30:00Z"),
      zone,
    });
    expect(cut.rows).toMatchObject([{ machine: "saw", sessions: 0, enabledHours: { low: 2.5, best: 2.5, high: 2.5 } }]);
    const now = await sessions(shop.connection, { asOf: new Date("2025-06-02T13:30:00Z"), zone });
    expect(now.sessions).toMatchObject([{ ended: "open", end: null, hours: { low: 3.5, best: 3.5, high: 3.5 } }]);
  });

  it("gives an unseen end the mean and the 10 and 90 % points of its draws", async () => {
    await addSessions(shop.connection, [
      {
        machine: "saw",
        start: "2025-06-02T10:00:00Z",
        low: "2025-06-02T10:00:00Z",
        best: "2025-06-02T12:00:00Z",
        high: "2025-06-02T14:00:00Z",
        draws: (u) => u * 4 * 3600,
      },
    ]);
    const { rows } = await hours(shop.connection, { asOf, zone });
    expect(rows[0]!.enabledHours.best).toBeCloseTo(2, 9);
    expect(rows[0]!.enabledHours.low).toBeCloseTo(0.4, 1);
    expect(rows[0]!.enabledHours.high).toBeCloseTo(3.6, 1);
  });
});

describe("occupancy", () => {
  it("counts ends before starts, and the share of open hours with every unit in order taken", async () => {
    await addMachines(shop.connection, [
      { machine: "lathe-1", group: "lathe", room: "metal" },
      { machine: "lathe-2", group: "lathe", room: "metal" },
    ]);
    await shop.connection.run(
      "INSERT INTO opening VALUES ('2025-06-02 10:00:00Z', '2025-06-02 20:00:00Z', 'staffed', '2025-06-02')",
    );
    await addSessions(shop.connection, [
      { machine: "lathe-1", badge: "a", start: "2025-06-02T10:00:00Z", end: "2025-06-02T12:00:00Z" },
      { machine: "lathe-1", badge: "b", start: "2025-06-02T12:00:00Z", end: "2025-06-02T13:00:00Z" },
      { machine: "lathe-2", badge: "b", start: "2025-06-02T12:30:00Z", end: "2025-06-02T14:00:00Z" },
    ]);
    const answer = await occupancy(shop.connection, { asOf, zone });
    expect(answer.groups).toEqual([
      {
        group: "lathe",
        units: 2,
        peak: 2,
        peakAt: "2025-06-02T12:30:00Z",
        hoursByInUse: [
          { inUse: 0, hours: 6 },
          { inUse: 1, hours: 3.5 },
          { inUse: 2, hours: 0.5 },
        ],
        openHours: 10,
        fullShare: 0.05,
      },
    ]);
    expect(answer.shop).toMatchObject({ peakPeople: 1, peakAt: "2025-06-02T10:00:00Z" });
    await shop.connection.run(
      "INSERT INTO machine_outage VALUES ('lathe-2', '2025-06-02 00:00:00Z', '2025-06-02 12:00:00Z', 'belt')",
    );
    expect((await occupancy(shop.connection, { asOf, zone })).groups[0]!.fullShare).toBeCloseTo(0.25, 12);
  });
});
