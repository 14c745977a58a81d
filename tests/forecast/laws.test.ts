// Laws of the forecast, on plain numbers.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { backtestOf } from "../../analytics/forecast/backtest.ts";
import { futureFrom } from "../../analytics/forecast/future.ts";
import { pastAsOf } from "../../analytics/forecast/rolling.ts";
import { shopCourses } from "../../analytics/forecast/shop.ts";
import { type Surprise, wideningFrom, widthsFrom } from "../../analytics/forecast/surprise.ts";
import { widthsOf } from "../../analytics/forecast/widths.ts";
import { windowOf } from "../../analytics/forecast/window.ts";
import { normals } from "../../analytics/forecast/worlds.ts";
import { shopOf, withMachines } from "./shop.ts";

const median = (days: readonly number[]): number => windowOf(days)!.median;
const all = (left: number): Float64Array => new Float64Array(200).fill(left);

describe("use ahead", () => {
  test("in another unit of time the same days: hours, minutes, anything", () => {
    const past = shopOf({ days: 200 });
    const future = futureFrom(past, { seed: 1 });
    fc.assert(
      fc.property(fc.double({ min: 0.01, max: 500, noNaN: true }), fc.double({ min: 1, max: 90, noNaN: true }), (scale, left) => {
        const other = futureFrom(
          withMachines(past, ({ factoredHours }) => ({ factoredHours: factoredHours.map((hours) => hours * scale) })),
          { seed: 1 },
        );
        expect(median(other.daysUntil("m0", "hours", all(left * scale))!)).toBe(
          median(future.daysUntil("m0", "hours", all(left))!),
        );
      }),
      { seed: 20260301, numRuns: 12 },
    );
  });

  test("whole weeks later the same log gives the same days ahead", () => {
    const past = shopOf({ days: 154 });
    const later = { ...past, firstYear: past.firstYear + 28 / 365.2425, today: "2025-09-01", firstDay: "2025-03-31" };
    const [a, b] = [past, later].map((one) => futureFrom(one, { seed: 1 }).daysUntil("m2", "hours", all(30))!);
    expect(a).toEqual(b);
  });

  test("more left is never sooner, world by world", () => {
    const future = futureFrom(shopOf({ days: 120 }), { seed: 3 });
    fc.assert(
      fc.property(fc.double({ min: 0, max: 200, noNaN: true }), fc.double({ min: 0, max: 200, noNaN: true }), (a, b) => {
        const [less, more] = [Math.min(a, b), Math.max(a, b)];
        const sooner = future.daysUntil("m1", "hours", all(less))!;
        const later = future.daysUntil("m1", "hours", all(more))!;
        expect(later.every((days, world) => days >= sooner[world]!)).toBe(true);
      }),
      { seed: 20260302, numRuns: 25 },
    );
  });

  test("the same seed gives the same worlds, another others", () => {
    const past = shopOf({ days: 120 });
    const days = (seed: number) => futureFrom(past, { seed }).daysUntil("m0", "hours", all(40));
    expect(days(5)).toEqual(days(5));
    expect(days(5)).not.toEqual(days(6));
    expect(normals(50, "a", 1)).not.toEqual(normals(50, "b", 1));
    expect([...normals(50, "a", 1)].reduce((sum, z) => sum + z, 0)).toBeCloseTo(0, 9);
  });

  test("a closure ahead gives no use on a machine never used while closed, and moves the rest behind it", () => {
    const closed = Array.from({ length: 21 }, (_, i) => 210 + i);
    const plain = shopCourses(shopOf({ days: 196 }), "hours")!.get("m0")!;
    const shut = shopCourses(shopOf({ days: 196, closed }), "hours")!.get("m0")!;
    expect(shut.expected[34]! - shut.expected[13]!).toBe(0);
    expect(shut.expected[13]).toBeCloseTo(plain.expected[13]!, 9);
    expect(shut.expected[60]!).toBeLessThan(plain.expected[60]!);
    // Sundays are closed too.
    expect(plain.expected[6]! - plain.expected[5]!).toBe(0);
  });

  test("no use while out of order; where nobody knows until when, later and wider", () => {
    const past = shopOf({ days: 196 });
    const planned = withMachines(past, ({ machine }) => (machine === "m0" ? { outages: [{ fromDay: 200, untilDay: 220 }] } : {}));
    const course = shopCourses(planned, "hours")!.get("m0")!;
    expect(course.expected[23]! - course.expected[4]!).toBe(0);
    const out = withMachines(past, ({ machine }) => (machine === "m0" ? { outages: [{ fromDay: 190, untilDay: null }] } : {}));
    const [here, gone] = [past, out].map((one) => windowOf(futureFrom(one, { seed: 1 }).daysUntil("m0", "hours", all(15))!)!);
    expect(gone!.median).toBeGreaterThan(here!.median + 7);
    expect(gone!.late - gone!.early).toBeGreaterThan(here!.late - here!.early);
  });

  test("a machine of the day borrows the level of its group, and is less sure of it", () => {
    const past = shopOf({ days: 196 });
    const none = new Float64Array(196);
    const fresh = withMachines(past, ({ machine }) =>
      machine === "m1" ? { fromDay: 196, factoredHours: none, starts: none, sessions: none } : {},
    );
    const courses = shopCourses(fresh, "hours")!;
    const [known, borrowed] = [courses.get("m0")!, courses.get("m1")!];
    expect(borrowed.expected[89]! / known.expected[89]!).toBeCloseTo(1, 0);
    expect(borrowed.levelSd[89]!).toBeGreaterThan(3 * known.levelSd[89]!);
  });

  test("under two weeks of log nobody can tell", () => {
    expect(futureFrom(shopOf({ days: 13 }), { seed: 1 }).daysUntil("m0", "hours", all(10))).toBeNull();
  });

  test("a year that goes up and down is expected to do so again", () => {
    const past = shopOf({ days: 730, aDay: 6, busy: (day) => 1 + 0.5 * Math.cos((2 * Math.PI * day) / 365.2425) });
    const { expected } = shopCourses(past, "hours")!.get("m0")!;
    const month = (from: number): number => expected[from + 30]! - expected[from]!;
    expect(month(0) / month(167)).toBeGreaterThan(2);
  });

  test("of two machines whose motors are always on, hours are the clock's", () => {
    const past = withMachines(shopOf({ days: 60, machines: 2 }), () => ({ kind: "always-on" as const }));
    const days = futureFrom(past, { seed: 1 }).daysUntil("m0", "hours", all(1440))!;
    expect(new Set(days)).toEqual(new Set([59]));
  });

  test("what fell due did so on the day on which use came to the limit", () => {
    const past = shopOf({ days: 100, sessionHours: 1 });
    const { daysAgo } = futureFrom(past, { seed: 1 });
    const use = past.machines[0]!.factoredHours;
    const since = (day: number): number => use.subarray(day).reduce((sum, hours) => sum + hours, 0);
    const used = use.findLastIndex((hours, day) => day < 80 && hours > 0);
    expect(daysAgo("m0", "hours", since(used + 1) + 1e-6)).toBe(used - 100);
  });
});

describe("the past as it was", () => {
  test("nothing after a day has a say in what would have been forecast on it", () => {
    const past = shopOf({ days: 300, seed: 7 });
    const changed = withMachines(past, ({ factoredHours, outages }) => ({
      factoredHours: factoredHours.map((hours, day) => (day < 200 ? hours : 99)),
      outages: [...outages, { fromDay: 230, untilDay: 260 }],
    }));
    expect(shopCourses(pastAsOf(changed, 200, 100), "hours")).toEqual(shopCourses(pastAsOf(past, 200, 100), "hours"));
  });

  test("an outage that had not ended counts as lasting, whenever it ended", () => {
    const past = withMachines(shopOf({ days: 300 }), () => ({ outages: [{ fromDay: 150, untilDay: 210 }] }));
    expect(pastAsOf(past, 200, 50).machines[0]!.outages).toEqual([{ fromDay: 150, untilDay: null }]);
    expect(pastAsOf(past, 220, 50).machines[0]!.outages).toEqual([{ fromDay: 150, untilDay: 210 }]);
  });
});

describe("how wide", () => {
  const surprised = (spread: number): Surprise[] =>
    Array.from({ length: 40 }, (_, origin) =>
      [...normals(25, `surprise ${origin}`, 1)].map((z, i) => ({
        machine: `m${i}`,
        origin: 7 * origin,
        daysAhead: 28,
        z: spread * z,
      })),
    ).flat();

  test("right where they were right, and as much wider as they were too narrow", () => {
    const factor = (spread: number) => widthsFrom(surprised(spread), 1000).all.find(({ daysAhead }) => daysAhead === 28)!.factor;
    expect(factor(1)).toBeCloseTo(1, 1);
    expect(factor(2)).toBeGreaterThan(1.85);
    expect(factor(0.5)).toBeLessThan(0.55);
  });

  test("what was not over by then has no say", () => {
    const some = surprised(2);
    expect(widthsFrom(some, 150)).toEqual(
      widthsFrom(
        some.filter(({ origin }) => origin + 28 <= 150),
        150,
      ),
    );
    expect(widthsFrom(some, 27).all.every(({ factor, windows }) => factor === 1 && windows === 0)).toBe(true);
  });

  test("a machine that is stranger than the others gets wider windows than they", () => {
    const some = surprised(1).map((one) => (one.machine === "m3" ? { ...one, z: 3 * one.z } : one));
    const widths = widthsFrom(some, 1000);
    expect(wideningFrom(widths, "m3")(28)).toBeGreaterThan(1.5 * wideningFrom(widths, "m4")(28));
    expect(wideningFrom(widths, "unheard of")(28)).toBeCloseTo(widths.all.find(({ daysAhead }) => daysAhead === 28)!.factor, 12);
  });

  test("widths of a shop of plain chance stay near 1", () => {
    for (const { factor } of widthsOf(shopOf({ days: 500, seed: 11, machines: 10 })).all.slice(0, 4)) {
      expect(factor).toBeGreaterThan(0.75);
      expect(factor).toBeLessThan(1.25);
    }
  });
});

describe("backtest", () => {
  test("windows of a shop that wanders hold about four times in five, and medians beat plain means", () => {
    const past = shopOf({
      days: 730,
      seed: 5,
      machines: 12,
      busy: (day) => 1 + 0.35 * Math.cos((2 * Math.PI * day) / 365.2425) + 0.15 * Math.sin(day / 17),
    });
    for (const horizon of backtestOf(past, 1)) {
      expect(horizon.windows).toBeGreaterThan(150);
      expect(horizon.coverage).toBeGreaterThan(0.7);
      expect(horizon.coverage).toBeLessThan(0.92);
      expect(horizon.maeDays as number).toBeLessThan(horizon.maeDaysLast28 as number);
      expect(horizon.crpsDays as number).toBeLessThan(horizon.maeDays as number);
    }
  });

  test("too short a log has no windows to judge by, and says how many it would take", () => {
    const [first] = backtestOf(shopOf({ days: 40 }), 1);
    expect(first).toMatchObject({ windows: 0, hits: 0, coverage: { insufficient: { have: 0, need: 1 } } });
  });
});

describe("a window of days", () => {
  test("ten, fifty, ninety of a hundred where days are many", () => {
    // From 10 to 89: eighty of a hundred.
    expect(windowOf(Array.from({ length: 100 }, (_, i) => i))).toEqual({ early: 10, median: 50, late: 89 });
  });
  test("one day alone is all three, and days beyond the reach are none", () => {
    expect(windowOf([4, 4, 4])).toEqual({ early: 4, median: 4, late: 4 });
    expect(windowOf([1, 2, 3, Number.POSITIVE_INFINITY])).toMatchObject({ late: Number.POSITIVE_INFINITY });
    expect(windowOf([])).toBeNull();
  });
  test("where a whole day would take far more than a world in ten with it, the end moves in", () => {
    // Day 1 holds 19 of 100: to begin with day 2 leaves out 19, to begin with day 1 none.
    const days = [...Array(19).fill(1), ...Array(62).fill(5), ...Array(19).fill(9)];
    expect(windowOf(days)).toEqual({ early: 5, median: 5, late: 5 });
    const fewer = [...Array(11).fill(1), ...Array(30).fill(2), ...Array(59).fill(5)];
    expect(windowOf(fewer)).toMatchObject({ early: 2, median: 5, late: 5 });
  });
});
