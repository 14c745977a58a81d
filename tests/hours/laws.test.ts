// Laws that hold for any log: parts add up to the whole, a union is no longer than its sum, whole weeks shift, and what comes after
// the as-of time is not known.
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type HoursRow, hours, occupancy, sessions } from "../../analytics/index.ts";
import { addMachines, addSessions, openShop, type Shop, type Stretch } from "./shop.ts";

let shop: Shop;
beforeAll(async () => {
  shop = await openShop();
  await addMachines(shop.connection, [
    { machine: "saw", group: "saws", runFactor: { low: 0.3, best: 0.4, high: 0.6 } },
    { machine: "planer", group: "saws" },
    { machine: "dust", kind: "driven", runOnSeconds: 0 },
  ]);
  await shop.connection.run("INSERT INTO machine_driver VALUES ('dust', 'saw', 1), ('dust', 'planer', 1)");
});
afterAll(() => shop.close());

const zone = "America/Halifax";
// Between two clock changes, with room for three weeks' shift.
const from = Date.parse("2025-05-01T00:00:00Z");
const asOf = new Date("2025-09-01T00:00:00Z");
const iso = (time: number) => new Date(time).toISOString();

interface Plain {
  machine: string;
  badge: string;
  start: number;
  minutes: number;
  spread: number;
}

const plain = fc.record({
  machine: fc.constantFrom("saw", "planer"),
  badge: fc.constantFrom("a", "b", "c"),
  start: fc.integer({ min: 0, max: 30 * 24 * 60 }),
  minutes: fc.integer({ min: 0, max: 2000 }),
  spread: fc.oneof(fc.constant(0), fc.integer({ min: 1, max: 900 })),
});

const stretchOf = ({ machine, badge, start, minutes, spread }: Plain, shift = 0): Stretch => {
  const begins = from + shift + start * 60_000;
  const end = begins + minutes * 60_000;
  return spread === 0
    ? { machine, badge, start: iso(begins), end: iso(end) }
    : {
        machine,
        badge,
        start: iso(begins),
        low: iso(end),
        best: iso(end + spread * 20_000),
        high: iso(end + spread * 60_000),
        draws: (u: number) => minutes * 60 + spread * 60 * u * u,
      };
};

async function fill(list: readonly Plain[], shift = 0): Promise<void> {
  await shop.connection.run("DELETE FROM session");
  await addSessions(
    shop.connection,
    list.map((one) => stretchOf(one, shift)),
  );
}

const sum = (rows: readonly HoursRow[], pick: (row: HoursRow) => number | null): number =>
  rows.reduce((total, row) => total + (pick(row) ?? 0), 0);
const lists = fc.array(plain, { minLength: 1, maxLength: 12 });

describe("hours", () => {
  it("add up over days, weeks, months and hours of the week to the whole in best, of enabled and of run-hours", async () => {
    await fc.assert(
      fc.asyncProperty(lists, async (list) => {
        await fill(list);
        const whole = (await hours(shop.connection, { zone, asOf })).rows;
        for (const by of ["day", "week", "month", "hour-of-week"] as const) {
          const { rows } = await hours(shop.connection, { zone, asOf, by });
          for (const { machine, enabledHours, runHours, starts, sessions: count } of whole) {
            const mine = rows.filter((row) => row.machine === machine);
            expect(Math.abs(sum(mine, (row) => row.enabledHours.best) - enabledHours.best!)).toBeLessThan(1e-6);
            expect(Math.abs(sum(mine, (row) => row.runHours.best) - runHours.best!)).toBeLessThan(1e-6);
            expect(sum(mine, (row) => row.starts)).toBe(starts);
            expect(sum(mine, (row) => row.sessions)).toBe(count ?? 0);
            for (const row of mine) {
              expect(row.enabledHours.low!).toBeLessThanOrEqual(row.enabledHours.high! + 1e-12);
              expect(row.runHours.low!).toBeLessThanOrEqual(row.runHours.best! + 1e-12);
              expect(row.runHours.best!).toBeLessThanOrEqual(row.runHours.high! + 1e-12);
            }
          }
        }
        const dust = whole.find((row) => row.machine === "dust")!;
        const drivers = whole.filter((row) => row.machine !== "dust");
        expect(dust.enabledHours.best!).toBeLessThanOrEqual(sum(drivers, (row) => row.enabledHours.best) + 1e-9);
        expect(dust.loadHours!.best).toBeCloseTo(
          sum(drivers, (row) => row.enabledHours.best),
          6,
        );
      }),
      { seed: 3, numRuns: 5, endOnFailure: true },
    );
  }, 300_000);

  it("shift with the events by whole weeks", async () => {
    await fc.assert(
      fc.asyncProperty(lists, fc.integer({ min: 1, max: 3 }), async (list, weeks) => {
        const shift = weeks * 7 * 86_400_000;
        await fill(list);
        const before = await hours(shop.connection, { zone, asOf, by: "week" });
        const full = await occupancy(shop.connection, { zone, asOf: new Date(asOf.getTime() - shift) });
        await fill(list, shift);
        const after = await hours(shop.connection, { zone, asOf, by: "week" });
        const moved = (text: string) => iso(Date.parse(text) + shift).replace(".000Z", "Z");
        const plainOf = (rows: readonly HoursRow[], move: (text: string) => string) =>
          rows.map((row) => [
            row.machine,
            move(row.from),
            row.sessions,
            row.starts,
            row.members,
            row.enabledHours.best!.toFixed(6),
          ]);
        expect(plainOf(after.rows, (text) => text)).toEqual(plainOf(before.rows, moved));
        const fullAfter = await occupancy(shop.connection, { zone, asOf });
        expect(fullAfter.groups[0]!.peak).toBe(full.groups[0]!.peak);
        expect(fullAfter.groups[0]!.fullShare).toBeCloseTo(full.groups[0]!.fullShare, 9);
      }),
      { seed: 5, numRuns: 5, endOnFailure: true },
    );
  }, 300_000);

  it("know nothing of what comes after the as-of time", async () => {
    await fc.assert(
      fc.asyncProperty(lists, fc.integer({ min: 0, max: 31 * 24 * 60 }), async (list, cut) => {
        const at = new Date(from + cut * 60_000);
        await fill(list.filter(({ start }) => start <= cut));
        const then = await hours(shop.connection, { zone, asOf: at, by: "day" });
        await fill(list);
        expect(await hours(shop.connection, { zone, asOf: at, by: "day" })).toEqual(then);
        for (const row of (await sessions(shop.connection, { zone, asOf: at })).sessions) {
          expect(Date.parse(row.start)).toBeLessThanOrEqual(at.getTime());
          expect(Date.parse(row.endBest)).toBeLessThanOrEqual(at.getTime());
        }
      }),
      { seed: 9, numRuns: 5, endOnFailure: true },
    );
  }, 300_000);

  it("fill the open hours of a ladder exactly, and never more than all of them", async () => {
    await fc.assert(
      fc.asyncProperty(lists, async (list) => {
        await fill(list);
        const { groups } = await occupancy(shop.connection, { zone, asOf });
        for (const { hoursByInUse, openHours, fullShare, peak } of groups) {
          expect(hoursByInUse.reduce((total, rung) => total + rung.hours, 0)).toBeCloseTo(openHours, 6);
          expect(hoursByInUse.map(({ inUse }) => inUse)).toEqual(hoursByInUse.map((_, i) => i));
          expect(hoursByInUse.length - 1).toBe(peak);
          expect(fullShare).toBeGreaterThanOrEqual(0);
          expect(fullShare).toBeLessThanOrEqual(1);
        }
      }),
      { seed: 13, numRuns: 8, endOnFailure: true },
    );
  }, 300_000);
});
