// Driven machines against the plainest reckoning: in every world walk the drivers' stretches in order.
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { hours } from "../../analytics/index.ts";
import { DRAWS } from "../../shared/draws.ts";
import { addMachines, addSessions, openShop, type Shop } from "./shop.ts";

let shop: Shop;
beforeAll(async () => {
  shop = await openShop();
  await addMachines(shop.connection, [
    { machine: "saw" },
    { machine: "planer" },
    { machine: "lathe" },
    { machine: "dust", kind: "driven", runOnSeconds: 60 },
    { machine: "barrel", kind: "driven", runOnSeconds: 300 },
  ]);
  await shop.connection.run(
    "INSERT INTO machine_driver VALUES ('dust', 'saw', 1), ('dust', 'planer', 6), ('barrel', 'dust', 2), ('barrel', 'lathe', 3)",
  );
});
afterAll(() => shop.close());

interface Plain {
  machine: string;
  start: number;
  length: number;
  spread: number;
}

const from = Date.parse("2025-06-01T00:00:00Z");
const endIn = ({ start, length, spread }: Plain, world: number): number => start + length + spread * ((world + 0.5) / DRAWS);

/** Seconds of the union and how many stretches it has. */
function union(stretches: [number, number][]): { seconds: number; starts: number } {
  let seconds = 0;
  let starts = 0;
  let until = Number.NEGATIVE_INFINITY;
  for (const [start, end] of [...stretches].sort((a, b) => a[0] - b[0])) {
    if (start > until) starts += 1;
    seconds += Math.max(0, end - Math.max(start, until));
    until = Math.max(until, end);
  }
  return { seconds, starts };
}

const plain = fc.record({
  machine: fc.constantFrom("saw", "planer", "lathe"),
  start: fc.integer({ min: 0, max: 20_000 }),
  length: fc.integer({ min: 0, max: 1500 }),
  spread: fc.oneof(fc.constant(0), fc.integer({ min: 1, max: 3000 })),
});

describe("driven machines", () => {
  it("run for the union of their drivers in every world, start where it starts, and are loaded by their sum", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(plain, { minLength: 1, maxLength: 14 }), async (stretches) => {
        await shop.connection.run("DELETE FROM session");
        const iso = (seconds: number) => new Date(from + seconds * 1000).toISOString();
        await addSessions(
          shop.connection,
          stretches.map((s) => ({
            machine: s.machine,
            start: iso(s.start),
            ...(s.spread === 0
              ? { end: iso(s.start + s.length) }
              : {
                  low: iso(s.start + s.length),
                  best: iso(s.start + s.length + s.spread / 2),
                  high: iso(s.start + s.length + s.spread),
                  draws: (u: number) => s.length + s.spread * u,
                }),
          })),
        );
        const { rows } = await hours(shop.connection, { zone: "UTC", asOf: new Date("2025-07-01T00:00:00Z") });
        const row = (machine: string) => rows.find((candidate) => candidate.machine === machine);
        const saws = stretches.filter(({ machine }) => machine !== "lathe");
        const worlds = Array.from({ length: DRAWS }, (_, k) => ({
          dust: union(saws.map((s) => [s.start, endIn(s, k) + 60])).seconds,
          barrel: union(stretches.map((s) => [s.start, endIn(s, k) + (s.machine === "lathe" ? 300 : 360)])).seconds,
          load: saws.reduce((sum, s) => sum + (s.machine === "planer" ? 6 : 1) * (endIn(s, k) - s.start), 0),
          carried:
            2 * union(saws.map((s) => [s.start, endIn(s, k)])).seconds +
            3 * stretches.filter(({ machine }) => machine === "lathe").reduce((sum, s) => sum + endIn(s, k) - s.start, 0),
        }));
        const mean = (name: keyof (typeof worlds)[number]) => worlds.reduce((sum, world) => sum + world[name], 0) / DRAWS / 3600;
        const sorted = worlds.map((world) => world.barrel / 3600).sort((a, b) => a - b);
        const barrel = row("barrel")!;
        expect(barrel.enabledHours.best).toBeCloseTo(mean("barrel"), 6);
        expect(barrel.enabledHours.low).toBeCloseTo(sorted[9]! * 0.1 + sorted[10]! * 0.9, 6);
        expect(barrel.enabledHours.high).toBeCloseTo(sorted[89]! * 0.9 + sorted[90]! * 0.1, 6);
        for (const end of ["low", "best", "high"] as const) {
          expect(barrel.runHours[end]).toBeCloseTo(barrel.enabledHours[end]!, 9);
        }
        expect(barrel.loadHours!.best).toBeCloseTo(mean("carried"), 6);
        expect(barrel.starts).toBe(
          union(stretches.map((s) => [s.start, s.start + s.length + s.spread / 2 + (s.machine === "lathe" ? 300 : 360)])).starts,
        );
        expect(barrel).toMatchObject({ sessions: null, members: null });
        if (saws.length > 0) {
          expect(row("dust")!.enabledHours.best).toBeCloseTo(mean("dust"), 6);
          expect(row("dust")!.loadHours!.best).toBeCloseTo(mean("load"), 6);
        } else expect(row("dust")).toBeUndefined();
      }),
      { seed: 11, numRuns: 15, endOnFailure: true },
    );
  }, 300_000);

  it("keep the run-on of a session that ended before the span", async () => {
    await shop.connection.run("DELETE FROM session");
    await addSessions(shop.connection, [{ machine: "saw", start: "2025-06-01T10:00:00Z", end: "2025-06-01T11:59:30Z" }]);
    const since = new Date("2025-06-01T12:00:00Z");
    const { rows } = await hours(shop.connection, { since, zone: "UTC", asOf: new Date("2025-07-01T00:00:00Z") });
    expect(rows.map(({ machine, enabledHours, starts }) => [machine, enabledHours.best! * 3600, starts])).toEqual([
      ["dust", expect.closeTo(30, 6), 0],
      ["barrel", expect.closeTo(330, 6), 0],
    ]);
  });
});
