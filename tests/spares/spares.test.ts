// How many parts will be needed: possible futures, what to hold, when to order.
import fc from "fast-check";
import { afterEach, describe, expect, it } from "vitest";
import { holdingOf, renewalDays } from "../../analytics/spares/renewals.ts";
import { posteriorLife, priorFor, sparesNeeded } from "../../analytics/stats/index.ts";
import { type Bench, openBench } from "../service/shop.ts";
import { seeded } from "../stats/random.ts";

const byTheDay = (use: number): number => use;
const { grid } = posteriorLife({ lower: [], upper: [] }, priorFor("saw-blade"));
const none = { grid, age: 0, planned: null, plannedNow: null, plannedDays: null, accidents: 0 };

describe("renewals to come", () => {
  it("come by plan where the plan is far shorter than any life", () => {
    expect(renewalDays({ ...none, age: 0.02, planned: 0.05 }, byTheDay, 0.22, seeded(1)).map((day) => day.toFixed(2))).toEqual([
      "0.03",
      "0.08",
      "0.13",
      "0.18",
    ]);
  });

  it("come by the calendar where that is first, and at once where it is over", () => {
    const byCalendar = renewalDays(
      { ...none, plannedDays: { every: 10, left: -3 } },
      () => Number.POSITIVE_INFINITY,
      35,
      seeded(1),
    );
    expect(byCalendar).toEqual([0, 10, 20, 30]);
  });

  it("come like a Poisson count where only accidents end a life", () => {
    const random = seeded(7);
    const worlds = Array.from({ length: 20_000 }, () =>
      renewalDays(
        { ...none, grid: posteriorLife({ lower: [], upper: [] }, longLived).grid, accidents: 0.02 },
        byTheDay,
        100,
        random,
      ),
    );
    const held = holdingOf(worlds, { days: 100, level: 0.9, inStock: 1, leadDays: 7 });
    expect(held.needed.best).toBeCloseTo(2, 1);
    // The published table's answer for a mean of two, by the function that is held against it.
    const { stock, probability } = sparesNeeded({ meanDemand: 2, level: 0.9 });
    expect(held.hold).toBe(stock);
    expect(held.probability).toBeCloseTo(probability, 2);
  });
});
const longLived = {
  ...priorFor("saw-blade"),
  shape: { median: 3, logSd: 0.1 },
  scale: { median: 1e9, logSd: 0.1 },
};

describe("what to hold", () => {
  const somewhere = fc.array(
    fc.array(fc.integer({ min: 0, max: 120 }), { maxLength: 6 }).map((days) => days.sort((a, b) => a - b)),
    {
      minLength: 1,
      maxLength: 40,
    },
  );

  it("is enough as often as was asked, grows with what is asked, and is ordered in time", () => {
    fc.assert(
      fc.property(somewhere, fc.integer({ min: 0, max: 4 }), fc.integer({ min: 0, max: 30 }), (worlds, inStock, leadDays) => {
        const at = (level: number) => holdingOf(worlds, { days: 90, level, inStock, leadDays });
        for (const level of [0.5, 0.8, 0.95]) {
          const { hold, probability, needed, orderIn } = at(level);
          const enough = worlds.filter((days) => days.filter((day) => day <= 90).length <= hold).length / worlds.length;
          expect(probability).toBe(enough);
          expect(probability).toBeGreaterThanOrEqual(level);
          if (hold > 0)
            expect(worlds.filter((days) => days.filter((day) => day <= 90).length < hold).length / worlds.length).toBeLessThan(
              level,
            );
          expect(needed.low).toBeLessThanOrEqual(needed.high);
          if (orderIn === null) continue;
          // Ordered on that day it is there before stock has run out, but for the chance that was taken.
          const late = worlds.filter((days) => (days[inStock] ?? Number.POSITIVE_INFINITY) < orderIn + leadDays).length;
          if (orderIn > 0) expect(late / worlds.length).toBeLessThanOrEqual(1 - level + 1e-9);
        }
        expect(at(0.95).hold).toBeGreaterThanOrEqual(at(0.5).hold);
        expect(holdingOf(worlds, { days: 90, level: 0.9, inStock: null, leadDays }).orderIn).toBeNull();
      }),
      { seed: 3, numRuns: 200 },
    );
  });
});

describe("almanac spares", () => {
  let bench: Bench | undefined;
  afterEach(() => bench?.close());

  it("counts the shelf, needs more over a longer time, and says what nobody knows", async () => {
    bench = await openBench();
    const short = await bench.run("spares", { days: 30, serviceLevel: 0.9 });
    const long = await bench.run("spares", { days: 365, serviceLevel: 0.9 });
    // biome-ignore lint/suspicious/noExplicitAny: checked by the assertions
    const of = (answer: any, machine: string, part: string) =>
      answer.parts.find((row: { machine: string; part: string }) => row.machine === machine && row.part === part);
    expect(short).toMatchObject({ days: 30, serviceLevel: 0.9 });
    const knives = of(long, "planer", "knives");
    expect(knives).toMatchObject({ inStock: 2, leadDays: 10, price: 60 });
    expect(knives.needed.best).toBeGreaterThan(of(short, "planer", "knives").needed.best);
    expect(knives.hold).toBeGreaterThanOrEqual(of(short, "planer", "knives").hold);
    expect(knives.probability).toBeGreaterThanOrEqual(0.9);
    expect(knives.orderBy).toMatch(/^\d{4}-\d\d-\d\d$/);
    expect(of(long, "lathe", "contactor")).toMatchObject({ inStock: null, orderBy: null, toBuy: null });
    expect(of(long, "lathe", "contactor").notes.join()).toContain("count them");
    const more = await bench.run("spares", { days: 365, serviceLevel: 0.99, machine: "planer" });
    expect(more.parts).toHaveLength(1);
    expect(more.parts[0].hold).toBeGreaterThanOrEqual(knives.hold);
    expect(await bench.run("spares", { days: 365, serviceLevel: 0.9 })).toEqual(long);
    await bench.run("stock add", { machine: "planer", part: "knives", kind: "bought", pieces: 20 });
    expect(of(await bench.run("spares", { days: 365 }), "planer", "knives")).toMatchObject({
      inStock: 22,
      toBuy: 0,
      orderBy: null,
    });
  });

  it("says so where the log is too short for any forecast", async () => {
    bench = await openBench(undefined, null);
    const { parts } = await bench.run("spares");
    expect(parts.find(({ machine }: { machine: string }) => machine === "planer").needed).toEqual({
      insufficient: { have: 0, need: 1 },
    });
  });
});
