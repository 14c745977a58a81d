// Roll-ups give what the sessions give: whatever the log, the span, the zone, and however it came to be as it is.
import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { BUCKETS, hours, occupancy, refreshRollups } from "../../analytics/index.ts";
import { inTransaction } from "../../shared/store.ts";
import { addMachines, addSessions, openShop, type Shop, type Stretch } from "./shop.ts";

let shop: Shop;
beforeEach(async () => {
  shop = await openShop();
});
afterEach(() => shop.close());

const from = Date.parse("2025-08-20T00:00:00Z");
const iso = (time: number) => new Date(time).toISOString();
const minute = 60_000;
const machineNames = ["saw", "planer", "lathe", "station:9"];

const stretch = fc
  .record({
    machine: fc.constantFrom(...machineNames),
    badge: fc.constantFrom("a", "b", "c", null),
    start: fc.integer({ min: 0, max: 120 * 24 * 60 }),
    minutes: fc.oneof(fc.integer({ min: 0, max: 90 }), fc.integer({ min: 0, max: 3000 })),
    seen: fc.boolean(),
    spread: fc.integer({ min: 1, max: 600 }),
    starts: fc.integer({ min: 1, max: 3 }),
  })
  .map(({ machine, badge, start, minutes, seen, spread, starts }): Stretch => {
    const startedAt = from + start * minute;
    const end = startedAt + minutes * minute;
    return {
      machine,
      badge,
      start: iso(startedAt),
      starts,
      ...(seen
        ? { end: iso(end) }
        : {
            low: iso(end),
            best: iso(end + (spread * minute) / 3),
            high: iso(end + spread * minute),
            draws: (u: number) => minutes * 60 + spread * 60 * u ** 1.7,
          }),
    };
  });

async function furnish(): Promise<void> {
  await addMachines(shop.connection, [
    { machine: "saw", group: "saw", room: "wood", runFactor: { low: 0.4, best: 0.5, high: 0.7 } },
    { machine: "planer", group: "saw", room: "wood" },
    { machine: "lathe", room: "metal", from: "2025-09-10T04:00:00Z" },
    { machine: "dust", kind: "driven", runOnSeconds: 90 },
    { machine: "barrel", kind: "driven", runOnSeconds: 600 },
    { machine: "air", kind: "always-on" },
    { machine: "pump", kind: "meter" },
  ]);
  await shop.connection.run(`
    INSERT INTO machine_driver VALUES ('dust', 'saw', 1), ('dust', 'planer', 6), ('barrel', 'dust', 2), ('barrel', 'lathe', 1);
    INSERT INTO machine_outage VALUES ('air', '2025-09-01 10:00:00Z', '2025-09-03 10:00:00Z', 'leak'), ('planer', '2025-10-01 00:00:00Z', '2025-10-20 00:00:00Z', NULL), ('planer', '2025-10-10 00:00:00Z', 'infinity', NULL);
    INSERT INTO machine_meter VALUES ('planer', '2025-09-02 10:00:00Z', 100), ('planer', '2025-10-02 10:00:00Z', 130), ('planer', '2025-11-02 10:00:00Z', 155), ('pump', '2025-09-01 00:00:00Z', 10), ('pump', '2025-10-01 00:00:00Z', 70), ('pump', '2025-11-01 00:00:00Z', 120);
    INSERT INTO roster VALUES ('a', 'p1', NULL, 'member', NULL, NULL, ''), ('b', 'p1', NULL, 'member', '2025-01-01', '2025-10-01', ''), ('b', 'p2', NULL, 'member', '2025-10-01', NULL, '');
    INSERT INTO opening SELECT d + INTERVAL 13 HOUR, d + INTERVAL 21 HOUR, 'staffed', d::date FROM (SELECT unnest(generate_series(TIMESTAMPTZ '2025-08-01 00:00:00Z', TIMESTAMPTZ '2026-02-01 00:00:00Z', INTERVAL 1 DAY)) AS d) WHERE isodow(d) < 6;
    INSERT INTO motor SELECT 'lathe', 'lathe', t, CASE WHEN isodow(t) = 3 THEN NULL ELSE t + INTERVAL 40 MINUTE END, t + INTERVAL 10 MINUTE, t + INTERVAL 40 MINUTE, t + INTERVAL 2 HOUR FROM (SELECT unnest(generate_series(TIMESTAMPTZ '2025-09-20 15:00:00Z', TIMESTAMPTZ '2025-12-01 00:00:00Z', INTERVAL 31 HOUR)) AS t);
  `);
}

const round = (value: unknown): unknown =>
  JSON.parse(JSON.stringify(value, (_, part) => (typeof part === "number" ? Math.round(part * 1e6) / 1e6 + 0 : part)));

async function expectSame(zone: string, span: { since?: Date; until?: Date; asOf: Date }): Promise<void> {
  for (const by of BUCKETS) {
    const asked = { by, zone, ...span, ...(by === "week" ? { machine: "dust" } : {}) };
    const stored = await hours(shop.connection, asked);
    const raw = await hours(shop.connection, { ...asked, rollups: false });
    expect(round(stored), by).toEqual(round(raw));
  }
  const stored = await occupancy(shop.connection, { zone, ...span });
  expect(round(stored)).toEqual(round(await occupancy(shop.connection, { zone, ...span, rollups: false })));
}

describe("roll-ups", () => {
  it("give what the sessions give, after logs that grow and change", async () => {
    await furnish();
    await fc.assert(
      fc.asyncProperty(
        fc.array(stretch, { minLength: 5, maxLength: 60 }),
        fc.array(stretch, { maxLength: 10 }),
        fc.constantFrom("America/Halifax", "Australia/Lord_Howe", "America/Havana"),
        fc.integer({ min: 0, max: 3000 }),
        fc.integer({ min: 1, max: 3000 }),
        fc.integer({ min: 0, max: 59 }),
        async (first, later, zone, since, length, odd) => {
          await shop.connection.run("DELETE FROM session");
          await addSessions(shop.connection, first);
          await inTransaction(shop.connection, () => refreshRollups(shop.connection, { zone }));
          await addSessions(shop.connection, later);
          await shop.connection.run("UPDATE session SET badge = 'c' WHERE machine = 'saw' AND starts = 3");
          await inTransaction(shop.connection, () => refreshRollups(shop.connection, { zone }));
          const again = await refreshRollups(shop.connection, { zone });
          expect(again).toEqual({ months: 0, everything: false });
          await expectSame(zone, { asOf: new Date(from + 140 * 24 * 60 * minute + odd * 1000) });
          await expectSame(zone, {
            since: new Date(from + since * 60 * minute + odd * minute),
            until: new Date(from + (since + length) * 60 * minute),
            asOf: new Date(from + 100 * 24 * 60 * minute + odd * 1000),
          });
        },
      ),
      { seed: 7, numRuns: 3, endOnFailure: true },
    );
  }, 600_000);
});
