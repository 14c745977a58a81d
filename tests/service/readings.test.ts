// A reading's way to its limit.
import { describe, expect, test } from "vitest";
import { readingTrend } from "../../analytics/service/readings.ts";
import { figureFromText, readingsFromTexts } from "../../dashboard/service/readings.ts";
import { isInsufficient } from "../../shared/errors.ts";

const points = [
  { x: 0, y: 0.4 },
  { x: 10, y: 0.62 },
  { x: 20, y: 0.78 },
  { x: 30, y: 1.02 },
];

describe("the trend", () => {
  test("meets the limit where the line does, within Fieller's interval", () => {
    // Worked by hand: slope 0.0202, means 15 and 0.705, sum of squares of x 500; t of 2 degrees of freedom at 0.9 is 1.88562.
    const trend = readingTrend(points, 1.25, "above");
    if (isInsufficient(trend)) throw new Error("four readings are enough");
    expect(trend.slope.best).toBeCloseTo(0.0202, 10);
    expect(trend.limitAt.best).toBeCloseTo(15 + (1.25 - 0.705) / 0.0202, 10);
    const { low, high } = trend.limitAt as { low: number; high: number };
    // At the ends the line's own 80 % band touches the limit.
    for (const end of [low, high]) {
      const gap = 0.705 + 0.0202 * (end - 15) - 1.25;
      const squares = points.reduce((sum, { x, y }) => sum + (y - 0.705 - 0.0202 * (x - 15)) ** 2, 0);
      const se = Math.sqrt((squares / 2) * (1 / 4 + (end - 15) ** 2 / 500));
      expect(Math.abs(gap) / se).toBeCloseTo(1.88562, 4);
    }
    expect(low).toBeLessThan(trend.limitAt.best!);
    expect(high).toBeGreaterThan(trend.limitAt.best!);
  });

  test("shifts and scales with its readings", () => {
    const one = readingTrend(points, 1.25, "above");
    const other = readingTrend(
      points.map(({ x, y }) => ({ x: x + 100, y: y * 10 })),
      12.5,
      "above",
    );
    if (isInsufficient(one) || isInsufficient(other)) throw new Error("four readings are enough");
    expect(other.limitAt.best! - 100).toBeCloseTo(one.limitAt.best!, 8);
    expect(other.limitAt.high! - 100).toBeCloseTo(one.limitAt.high!, 8);
  });

  test("away from the limit there is no date; with two readings nothing is said", () => {
    const away = readingTrend(points, 0.1, "above");
    expect(isInsufficient(away) ? null : away.limitAt.best).not.toBeUndefined();
    const falling = readingTrend(
      points.map(({ x, y }) => ({ x, y: -y })),
      1.25,
      "above",
    );
    expect(isInsufficient(falling) ? "?" : falling.limitAt).toEqual({ low: null, best: null, high: null });
    expect(readingTrend(points.slice(0, 2), 1.25, "above")).toEqual({ insufficient: { have: 2, need: 3 } });
    expect(readingTrend([points[0]!, points[0]!, points[0]!], 1.25, "above")).toEqual({ insufficient: { have: 2, need: 3 } });
  });
});

describe("as typed", () => {
  test("the mean of ten stops counts, not one of them", () => {
    // The braked run-down is the average of ten stops (European woodworking-machine standard, EN 859/860/861 family).
    expect(readingsFromTexts(["run-down=8.0 8.4 8.1 8.3 8.2 8.6 8.0 8.5 8.4 8.5"])).toEqual({ "run-down": 8.3 });
  });

  test("a comma will do; words will not", () => {
    expect(figureFromText("12,5")).toBe(12.5);
    expect(figureFromText("1e3")).toBeUndefined();
    expect(readingsFromTexts(["pressure drop"])).toMatchObject({ field: "reading" });
    expect(readingsFromTexts(["pressure drop=high"])).toMatchObject({ field: "reading" });
  });
});
