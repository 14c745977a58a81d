// False discoveries, tails of counts, conformal ranks, the scan statistic: published figures, sums done the long way, and worlds in
// which nothing is wrong.
import gammaln from "@stdlib/math-base-special-gammaln";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { calibrationThrough } from "../../analytics/stats/calibration.ts";
import { countTails, tUpper } from "../../analytics/stats/count-tails.ts";
import { conformalP, falseDiscovery } from "../../analytics/stats/false-discovery.ts";
import { scanTail } from "../../analytics/stats/scan.ts";
import { seeded } from "./random.ts";

describe("false discoveries", () => {
  test("the example of the paper", () => {
    // Benjamini & Hochberg 1995, JRSS B 57, 3.2 (thrombolysis trials): at 0.05 the four smallest are rejected. From memory.
    const p = [0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528, 0.759, 1];
    expect(falseDiscovery(p, { rate: 0.05 })).toEqual({ threshold: (0.05 * 4) / 15, discoveries: 4, expectedFalse: 0.2 });
    // Handing in only the small ones changes nothing, nor does their order.
    expect(falseDiscovery(p.slice(0, 6).reverse(), { rate: 0.05, tests: 15 }).discoveries).toBe(4);
  });

  test("expectedFalse is what comes out where nothing is wrong, to a fifth", () => {
    const random = seeded(3);
    const tests = 400;
    for (const [rate, usualShare] of [
      [0.1, 0],
      [0.05, 0],
      [0.2, 1 / 100],
      [0.1, 1 / 50],
    ] as const) {
      let found = 0;
      let expected = 0;
      for (let world = 0; world < 4000; world++) {
        const answer = falseDiscovery(
          Array.from({ length: tests }, random).filter((p) => p < 0.2),
          { rate, tests, usualShare },
        );
        found += answer.discoveries;
        expected += answer.expectedFalse;
      }
      expect(found / expected, `rate ${rate}, usual share ${usualShare}`).toBeGreaterThan(0.8);
      expect(found / expected, `rate ${rate}, usual share ${usualShare}`).toBeLessThan(1.25);
    }
  });

  test("of what is found among real effects, the false share keeps to the rate", () => {
    const random = seeded(5);
    let falseShare = 0;
    let found = 0;
    const worlds = 400;
    for (let world = 0; world < worlds; world++) {
      const nulls = Array.from({ length: 900 }, random);
      const real = Array.from({ length: 30 }, () => random() * 1e-5);
      const { threshold } = falseDiscovery([...nulls, ...real], { rate: 0.1 });
      const wrong = nulls.filter((p) => p <= threshold).length;
      const right = real.filter((p) => p <= threshold).length;
      falseShare += wrong / Math.max(1, wrong + right) / worlds;
      found += right / real.length / worlds;
    }
    expect(falseShare).toBeLessThan(0.11);
    expect(found).toBeGreaterThan(0.99);
  });

  test("no tests, nothing to find; misuse is told", () => {
    expect(falseDiscovery([], { rate: 0.1 })).toEqual({ threshold: 0, discoveries: 0, expectedFalse: 0 });
    expect(() => falseDiscovery([0.2], { rate: 1.5 })).toThrow(/between 0 and 1/);
    expect(() => falseDiscovery([0.1, 0.2], { rate: 0.1, tests: 1 })).toThrow(/at least 2/);
  });
});

describe("conformal ranks", () => {
  test("count the value itself; none is below 1/(n + 1)", () => {
    expect(conformalP([1, 2, 3, 4], 9)).toBe(1 / 5);
    expect(conformalP([1, 2, 3, 4], 3)).toBe(3 / 5);
    expect(conformalP([1, 2, 3, 4], 0)).toBe(1);
    expect(conformalP([], 1)).toBe(1);
  });
  test("a value of the same kind gets p or less with probability p at most, whatever the distribution", () => {
    const random = seeded(11);
    const draw = () => (-Math.log(random())) ** 3;
    let small = 0;
    for (let round = 0; round < 4000; round++) {
      const reference = Array.from({ length: 19 }, draw).sort((a, b) => a - b);
      if (conformalP(reference, draw()) <= 0.1) small++;
    }
    expect(small / 4000).toBeLessThan(0.1 + 3 * Math.sqrt(0.09 / 4000));
    expect(small / 4000).toBeGreaterThan(0.1 - 3 * Math.sqrt(0.09 / 4000));
  });
});

describe("tails of counts", () => {
  const log = (k: number, mean: number, size: number) =>
    size === Number.POSITIVE_INFINITY
      ? k * Math.log(mean) - mean - gammaln(k + 1)
      : gammaln(k + size) -
        gammaln(size) -
        gammaln(k + 1) +
        size * Math.log(size / (size + mean)) +
        k * Math.log(mean / (size + mean));
  test("as sums done the long way", () => {
    for (const [count, mean, overdispersion] of [
      [0, 2, 0],
      [3, 0.1, 0],
      [12, 5, 0],
      [9, 3, 0.3],
      [40, 12, 0.05],
    ] as const) {
      const size = overdispersion === 0 ? Number.POSITIVE_INFINITY : 1 / overdispersion;
      let below = 0;
      for (let k = 0; k <= count; k++) below += Math.exp(log(k, mean, size));
      let above = 0;
      for (let k = count; k < count + 600; k++) above += Math.exp(log(k, mean, size));
      const tails = countTails({ count, mean, overdispersion });
      expect(tails.lower / below).toBeCloseTo(1, 9);
      expect(tails.upper / above).toBeCloseTo(1, 9);
    }
  });
  test("stay exact far out, where one minus the rest is nothing", () => {
    // The first term all but makes the sum: e^-0.01·0.01^20/20!
    expect(countTails({ count: 20, mean: 0.01 }).upper / Math.exp(log(20, 0.01, Number.POSITIVE_INFINITY))).toBeCloseTo(1, 2);
  });
  test("no scatter and next to none are the same", () => {
    const [one, other] = [0, 1e-9].map((overdispersion) => countTails({ count: 30, mean: 12, overdispersion }).upper);
    expect(one! / other!).toBeCloseTo(1, 4);
  });
  test("mean 0", () => {
    expect(countTails({ count: 0, mean: 0 })).toEqual({ upper: 1, lower: 1 });
    expect(countTails({ count: 1, mean: 0 })).toEqual({ upper: 0, lower: 1 });
  });
});

test("Student's t beyond the table's points", () => {
  // Abramowitz & Stegun 1964, table 26.10: 2.228 at 10 degrees (two-sided 0.05), 63.657 at 1 (0.01), 2.576 at infinitely many.
  expect(tUpper(2.228, 10)).toBeCloseTo(0.025, 4);
  expect(tUpper(63.657, 1)).toBeCloseTo(0.005, 6);
  expect(tUpper(2.576, 1e7)).toBeCloseTo(0.005, 5);
  expect(tUpper(0, 3)).toBeCloseTo(0.5, 12);
});

describe("the scan statistic", () => {
  test("as simulated", () => {
    const random = seeded(17);
    for (const [count, expected, window] of [
      [3, 10, 0.01],
      [4, 30, 0.02],
      [5, 60, 0.01],
    ] as const) {
      let hits = 0;
      const worlds = 6000;
      for (let world = 0; world < worlds; world++) {
        const times: number[] = [];
        for (let at = -Math.log(random()) / expected; at < 1; at += -Math.log(random()) / expected) times.push(at);
        if (times.some((at, i) => i + count - 1 < times.length && times[i + count - 1]! - at <= window)) hits++;
      }
      const share = hits / worlds;
      const tail = scanTail({ count, window, time: 1, expected });
      expect(Math.abs(tail - share), `${count} of ${expected} within ${window}: ${tail} against ${share}`).toBeLessThan(
        0.1 * share + 3 * Math.sqrt(share / worlds),
      );
    }
  });
  test("more in less time is rarer", () => {
    fc.assert(
      fc.property(fc.integer({ min: 2, max: 12 }), fc.double({ min: 1, max: 200, noNaN: true }), (count, expected) => {
        const at = (more: number, window: number) => scanTail({ count: more, window, time: 1000, expected });
        return at(count + 1, 1) <= at(count, 1) + 1e-12 && at(count, 0.5) <= at(count, 1) + 1e-12;
      }),
      { seed: 7, numRuns: 200 },
    );
    expect(scanTail({ count: 0, window: 1, time: 2, expected: 1 })).toBe(1);
    expect(scanTail({ count: 2, window: 1, time: 2, expected: 0 })).toBe(0);
  });
});

test("a calibration keeps ranks where they reach and goes on beyond, rising all the way", () => {
  const reached = [0.5, 0.2, 0.1, 0.05].map((level) => ({ level, beyond: 1000 * level * 0.6 }));
  const calibrate = calibrationThrough(reached, 1000);
  expect(calibrate(0.1)).toBeCloseTo(61 / 1001, 12);
  expect(calibrate(1)).toBe(1);
  expect(calibrate(0)).toBe(0);
  let before = 0;
  for (let p = 1e-8; p <= 1; p *= 1.5) {
    expect(calibrate(p)).toBeGreaterThanOrEqual(before);
    before = calibrate(p);
  }
  // Too few to say anything: unchanged.
  expect(calibrationThrough([{ level: 0.1, beyond: 2 }], 20)(0.03)).toBe(0.03);
});
