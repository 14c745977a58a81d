// What to do about a part: two ways to end, two costs, and when not to advise.
import { describe, expect, test } from "vitest";
import { adviseLife, type PartLife, priorFor, replacementAge, replacementCostRate } from "../../analytics/stats/index.ts";
import { drawLife, seeded } from "./random.ts";

const prior = priorFor("planer-knives");
const costs = { costPlanned: 80, costFailure: 400 };
const lives = (shape: number, scale: number, count: number, end: PartLife["end"] = "failed", seed = 3): PartLife[] => {
  const random = seeded(seed);
  return Array.from({ length: count }, () => ({ age: drawLife(shape, scale, random), end }));
};

describe("advice", () => {
  test("many lives of one known kind: the age, cost and advice of Barlow & Proschan", () => {
    const truth = { shape: 3, scale: 60, ...costs };
    const best = replacementAge(truth);
    const { interval } = adviseLife(lives(3, 60, 2000), prior, { ...costs, setHours: 30 });
    expect(interval.advice).toBe("replace");
    expect(interval.hours!.best / best.age!).toBeCloseTo(1, 1);
    expect(interval.costPerHour! / best.costRate).toBeCloseTo(1, 1);
    expect(interval.costPerHourRunToFailure! / best.costRateRunToFailure).toBeCloseTo(1, 1);
    expect(interval.costPerHourSet! / replacementCostRate(30, truth)).toBeCloseTo(1, 1);
    expect(interval.hours!.low).toBeLessThanOrEqual(interval.hours!.best);
    expect(interval.hours!.high).toBeGreaterThanOrEqual(interval.hours!.best);
  });

  test("the shape's interval reaches 1: inspect, whatever the costs", () => {
    const { interval, life } = adviseLife(lives(1, 60, 30), prior, { ...costs, costFailure: 4000 });
    expect(life.shape.low).toBeLessThanOrEqual(1);
    expect(interval.advice).toBe("inspect");
    expect(interval.inspectHours).toBeLessThan(30);
  });

  test("early failures only: inspect, and no age pays", () => {
    const { interval } = adviseLife(lives(0.6, 60, 200), prior, costs);
    expect(interval).toMatchObject({ advice: "inspect", hours: null });
    expect(interval.costPerHour).toBe(interval.costPerHourRunToFailure);
  });

  test("a failure that costs no more than a planned change: run to failure, no age", () => {
    const { interval } = adviseLife(lives(3, 60, 30), prior, { costPlanned: 80, costFailure: 80 });
    expect(interval).toMatchObject({ advice: "run-to-failure", hours: null });
  });

  test("under three lives ended by wear: not enough, and the figures are mostly the belief", () => {
    for (const count of [0, 1, 2]) {
      const { interval, life, failures } = adviseLife(lives(3, 60, count), prior, costs);
      expect(failures).toBe(count);
      expect(interval.advice).toBe("not-enough");
      expect(life.basis).toBe(count === 0 ? "prior" : "lives");
    }
  });

  test("without both costs there is nothing to weigh", () => {
    const { interval } = adviseLife(lives(3, 60, 30), prior, { costPlanned: 80, setHours: 20 });
    expect(interval).toMatchObject({ advice: "not-enough", hours: null, costPerHour: null, costPerHourSet: null, setHours: 20 });
    // That a part doesn't wear out is known without them.
    expect(adviseLife(lives(1, 60, 30), prior).interval.advice).toBe("inspect");
  });
});

describe("two ways to end", () => {
  test("all worn, none failed: failing is rare, so that a set age far below only wastes parts", () => {
    const worn = adviseLife(lives(4, 60, 40, "worn"), prior, { ...costs, setHours: 15 });
    expect(worn.worn).toBe(40);
    expect(worn.interval.costPerHourSet).toBeGreaterThan(3 * worn.interval.costPerHour!);
    const failed = adviseLife(lives(4, 60, 40, "failed"), prior, costs);
    expect(worn.interval.costPerHourRunToFailure).toBeLessThan(failed.interval.costPerHourRunToFailure! / 2);
  });

  test("cost per hour of both, against a million lives played out", () => {
    // Failed: shape 2, scale 90; worn: shape 4, scale 70; replaced at 50 at the latest.
    const random = seeded(11);
    const seen: PartLife[] = Array.from({ length: 4000 }, () => {
      const [failed, worn] = [drawLife(2, 90, random), drawLife(4, 70, random)];
      return failed < worn ? { age: failed, end: "failed" } : { age: worn, end: "worn" };
    });
    const answer = adviseLife(seen, prior, { ...costs, setHours: 50 });
    const play = (until: number) => {
      let [hours, cost] = [0, 0];
      for (let i = 0; i < 300_000; i++) {
        const [failed, worn] = [drawLife(2, 90, random), drawLife(4, 70, random)];
        hours += Math.min(failed, worn, until);
        cost += failed <= Math.min(worn, until) ? costs.costFailure : costs.costPlanned;
      }
      return cost / hours;
    };
    expect(answer.interval.costPerHourSet! / play(50)).toBeCloseTo(1, 1);
    expect(answer.interval.costPerHourRunToFailure! / play(Number.POSITIVE_INFINITY)).toBeCloseTo(1, 1);
    expect(answer.interval.costPerHour).toBeLessThanOrEqual(answer.interval.costPerHourSet! * 1.001);
  });

  test("what was found good at the last look ended in between, and is counted", () => {
    const looked: PartLife[] = [
      { age: 50, lastGood: 30, end: "failed" },
      { age: 60, lastGood: 30, end: "worn" },
      { age: 44, end: "failed" },
      { age: 20, end: "good" },
      { age: 25, end: "damaged" },
      { age: 9, end: "in-use", entry: 4 },
    ];
    const answer = adviseLife(looked, prior, costs);
    expect(answer).toMatchObject({ failures: 3, worn: 1, intervalCensored: 2, rightCensored: 3, inUse: 1 });
  });

  test("parts taken out good: the answer without the assumption stands beside, and is the shorter", () => {
    const some: PartLife[] = [...lives(3, 60, 6), ...Array.from({ length: 6 }, (): PartLife => ({ age: 20, end: "good" }))];
    const answer = adviseLife(some, prior, costs);
    expect(answer.withoutAssumption!.b10Hours).toBeLessThan(answer.life.b10.best);
    expect(adviseLife(lives(3, 60, 6), prior, costs).withoutAssumption).toBeNull();
  });
});

describe("law", () => {
  test("another unit of time moves every age and cost with it and no advice", () => {
    const some = lives(2.5, 60, 8);
    const [a, b] = [some, some.map((life) => ({ ...life, age: life.age * 60 }))].map((list, k) =>
      adviseLife(
        list,
        { ...prior, scale: { ...prior.scale, median: prior.scale.median * 60 ** k } },
        { ...costs, setHours: 30 * 60 ** k },
      ),
    );
    expect(b!.interval.advice).toBe(a!.interval.advice);
    expect(b!.interval.hours!.best / a!.interval.hours!.best).toBeCloseTo(60, 4);
    expect(a!.interval.costPerHourSet! / b!.interval.costPerHourSet!).toBeCloseTo(60, 4);
  });

  test.each([
    [[{ age: -1, end: "failed" }], "lives[0].age"],
    [[{ age: 0, end: "failed" }], "lives[0].age"],
    [[{ age: 5, end: "failed", lastGood: 6 }], "lives[0].lastGood"],
    [[{ age: 5, end: "in-use", entry: 6 }], "lives[0].entry"],
  ] satisfies [PartLife[], string][])("%j is no life: %s", (list, field) => {
    expect(() => adviseLife(list as PartLife[], prior, costs)).toThrow(field);
  });
});
