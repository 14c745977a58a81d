// Repairs, queues, spares, limits, outliers and scores: further sources, and laws.
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  bearingLife,
  binomialTwoSided,
  contactorLife,
  countInterval,
  crpsEnsemble,
  crpsNormal,
  erlangB,
  erlangBLoad,
  erlangC,
  fences,
  fitPowerLaw,
  gesd,
  kupiec,
  medcouple,
  modifiedZ,
  powerLawHomogeneity,
  queueMany,
  queueOne,
  ratioLine,
  repairCurve,
  repairTrend,
  replacementAge,
  replacementCostRate,
  shareInterval,
  sparesNeeded,
  toolLifeAt,
} from "../../analytics/stats/index.ts";
import { isInsufficient } from "../../shared/errors.ts";
import { halfLastDigit } from "./published.ts";

const settings = { seed: 20261125, numRuns: 200 };

function sure<T>(answer: T): Exclude<T, { insufficient: unknown }> {
  if (isInsufficient(answer)) throw new Error(JSON.stringify(answer));
  return answer as Exclude<T, { insufficient: unknown }>;
}

/** Ours rounds to what was printed. */
const prints = (figure: number, printed: string) => {
  expect(Math.abs(figure - Number(printed))).toBeLessThanOrEqual(halfLastDigit(printed) * (1 + 1e-9));
};

describe("printed sums of the trade", () => {
  test("bearings", () => {
    // skf.com, basic rating life: C 16 kN, P 2 kN, 512 million revolutions.
    prints(bearingLife({ dynamicLoadKn: 16, loadKn: 2, rpm: 1000, kind: "ball" }).millionRevs, "512");
    // bs-wiki.de, Wälzlager, 6209 at C 31 kN, P 5.8 kN, 250 rpm: "L10h= 10179h".
    prints(bearingLife({ dynamicLoadKn: 31, loadKn: 5.8, rpm: 250, kind: "ball" }).hours, "10179");
  });

  test("bearings at more than 90 %: the table of ISO 281:2007 where it has a row, between its neighbours elsewhere", () => {
    const hours = (reliability: number) => bearingLife({ dynamicLoadKn: 10, loadKn: 1, rpm: 1000, kind: "ball", reliability }).a1;
    expect([0.9, 0.95, 0.96, 0.97, 0.98, 0.99].map(hours)).toEqual([1, 0.64, 0.55, 0.47, 0.37, 0.25]);
    for (let k = 0; k < 99; k++) expect(hours(0.9 + k * 0.001)).toBeGreaterThan(hours(0.9 + (k + 1) * 0.001));
  });

  test("contactors and relays", () => {
    // A drive maker's installation guide after EN ISO 13849-1:2008, table C.1: one operation in 20 s, B10d 20 000 000,
    // "126.75 years (this has to be limited to 100 years"; operations a year 365.25·24·180.
    const relay = contactorLife({ b10d: 20_000_000, operationsPerYear: 1_577_880 });
    prints(relay.mttfdYears, "126.75");
    expect(relay.mttfdYearsCapped).toBe(100);
    // Another maker's safety note: B10 1 000 000 of which 73 % dangerous, one operation an hour: 1,563.77 years.
    prints(contactorLife({ b10d: 1_000_000 / 0.73, operationsPerYear: 8760 }).mttfdYears, "1563.77");
  });

  test("tools", () => {
    // calculatorhub.com, tooling change frequency: n 0.25, C 300 m/min at 200 m/min: "5.06 min".
    prints(toolLifeAt(200, { n: 0.25, c: 300 }), "5.06");
    // Half speed at n 0.125 and 0.25: 256 and 16 times the life.
    expect(toolLifeAt(0.5, { n: 0.125, c: 1 })).toBeCloseTo(256, 9);
  });
});

describe("repairs", () => {
  const someRepairs = fc
    .array(fc.double({ min: 1, max: 1000, noNaN: true }), { minLength: 4, maxLength: 40 })
    .filter((time) => Math.max(...time) > 1.01 * Math.min(...time));

  test("another unit of time leaves U, χ², p, reversals and beta alone", () => {
    fc.assert(
      fc.property(someRepairs, fc.constantFrom<"last-event" | number>("last-event", 1001), (time, end) => {
        const hours = { time, end };
        const minutes = { time: time.map((t) => t * 60), end: end === "last-event" ? end : end * 60 };
        const [a, b] = [sure(repairTrend(hours)), sure(repairTrend(minutes))];
        expect(b.laplaceP).toBeCloseTo(a.laplaceP!, 9);
        expect(b.milCdf).toBeCloseTo(a.milCdf!, 9);
        const [c, d] = [sure(fitPowerLaw(hours)), sure(fitPowerLaw(minutes))];
        expect(d.beta / c.beta).toBeCloseTo(1, 9);
        expect(d.mtbfAtEnd / c.mtbfAtEnd / 60).toBeCloseTo(1, 9);
      }),
      settings,
    );
  });

  test("figures are finite or null however the events crowd at either end", () => {
    const crowded = fc.array(fc.constantFrom(1e-9, 1e-3, 1, 999.999, 999.9999999, 1000), { minLength: 4, maxLength: 12 });
    fc.assert(
      fc.property(crowded, fc.constantFrom<"last-event" | number>("last-event", 1000, 1e12), (time, end) => {
        for (const answer of [repairTrend({ time, end }), fitPowerLaw({ time, end }), repairCurve({ time, end })]) {
          const figures = Object.values(answer).flat();
          expect(figures.filter((figure) => typeof figure === "number" && !Number.isFinite(figure))).toEqual([]);
        }
      }),
      settings,
    );
  });

  test("run backwards, a trend turns round", () => {
    fc.assert(
      fc.property(someRepairs, (time) => {
        const forwards = sure(repairTrend({ time, end: 1001 }));
        const backwards = sure(repairTrend({ time: time.map((t) => 1001 - t), end: 1001 }));
        expect(backwards.laplaceU).toBeCloseTo(-forwards.laplaceU!, 9);
      }),
      settings,
    );
  });

  test("each system twice over: same mean, same beta, errors smaller by √2", () => {
    const one = { system: ["a", "a", "a", "b", "b", "c"], time: [10, 30, 70, 25, 60, 80], end: { a: 90, b: 85, c: 100 } };
    const two = {
      system: [...one.system, ...one.system.map((name) => `${name}'`)],
      time: [...one.time, ...one.time],
      end: { ...one.end, "a'": 90, "b'": 85, "c'": 100 },
    };
    const [a, b] = [sure(repairCurve(one)), sure(repairCurve(two))];
    expect(b.mean).toEqual(a.mean);
    for (const [i, se] of a.seRobust.entries()) expect(b.seRobust[i]).toBeCloseTo(se! / Math.SQRT2, 12);
    for (const [i, low] of a.low.entries()) expect(low).toBeLessThan(a.mean[i]!);
    const [c, d] = [sure(fitPowerLaw(one)), sure(fitPowerLaw(two))];
    expect(d.beta).toBeCloseTo(c.beta, 12);
    expect(d.lambda).toBeCloseTo(c.lambda, 12);
  });

  test("a system without an event counts as watched; one system has no robust error", () => {
    const curve = sure(repairCurve({ system: ["a"], time: [10], end: { a: 90, b: 85 } }));
    expect(curve).toMatchObject({ atRisk: [2], mean: [0.5] });
    expect(sure(repairCurve({ time: [10, 20], end: 30 })).seRobust).toEqual([null, null]);
  });

  test("many narrow groups give the law of the times themselves", () => {
    const time = [5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478];
    const ends = Array.from({ length: 3000 }, (_, i) => (i + 1) / 2);
    const counts = ends.map((until) => time.filter((t) => t <= until && t > until - 0.5).length);
    const [grouped, timed] = [sure(fitPowerLaw({ ends, counts })), sure(fitPowerLaw({ time, end: 1500 }))];
    expect(grouped.beta / timed.beta).toBeCloseTo(1, 2);
    expect(grouped.mtbfAtEnd / timed.mtbfAtEnd).toBeCloseTo(1, 2);
    expect(sure(repairTrend({ ends, counts })).laplaceU).toBeCloseTo(sure(repairTrend({ time, end: 1500 })).laplaceU!, 2);
  });

  test("all counts in the first or the last stretch: beta would run away", () => {
    expect(fitPowerLaw({ ends: [10, 20], counts: [5, 0] })).toHaveProperty("insufficient");
    expect(fitPowerLaw({ ends: [10, 20], counts: [0, 5] })).toHaveProperty("insufficient");
    expect(powerLawHomogeneity({ time: [1, 2, 3, 4], end: 9 })).toEqual({ insufficient: { have: 1, need: 2 } });
  });

  test("equal gaps: no reversal; growing gaps: all", () => {
    expect(sure(repairTrend({ time: [10, 20, 30, 40], end: 50 })).reversals).toBe(0);
    expect(sure(repairTrend({ time: [1, 3, 6, 10], end: 50 })).reversals).toBe(6);
  });
});

describe("queues", () => {
  const steady = fc.record({
    servers: fc.integer({ min: 1, max: 60 }),
    serviceRate: fc.double({ min: 0.1, max: 10, noNaN: true }),
    share: fc.double({ min: 0.05, max: 0.97, noNaN: true }),
  });

  test("Little's law, more servers wait less, turned away ≤ waiting", () => {
    fc.assert(
      fc.property(steady, ({ servers, serviceRate, share }) => {
        const arrivalRate = share * servers * serviceRate;
        const queue = queueMany({ arrivalRate, serviceRate, servers });
        expect(queue.queueLength / (arrivalRate * queue.wait)).toBeCloseTo(1, 9);
        expect(queue.inSystem - queue.queueLength).toBeCloseTo(share * servers, 8);
        expect(queueMany({ arrivalRate, serviceRate, servers: servers + 1 }).wait).toBeLessThan(queue.wait);
        expect(erlangB(servers, share * servers)).toBeLessThanOrEqual(erlangC(servers, share * servers));
        expect(erlangBLoad(servers, erlangB(servers, share * servers))).toBeCloseTo(share * servers, 6);
        expect(queue.pEmpty).toBeGreaterThan(0);
      }),
      settings,
    );
  });

  test("one server with exponential turns is both queues at once; even turns halve the wait", () => {
    const both = { arrivalRate: 0.7, serviceMean: 1, serviceSd: 1 };
    const [one, other] = [queueOne(both), queueMany({ arrivalRate: 0.7, serviceRate: 1, servers: 1 })];
    for (const name of ["wait", "inSystem", "pEmpty", "pWait"] as const) expect(one[name]).toBeCloseTo(other[name], 12);
    expect(queueOne({ ...both, serviceSd: 0 }).wait).toBeCloseTo(one.wait / 2, 12);
  });
});

describe("limits and spares", () => {
  test("a count's limits hold exactly the promised tail, and grow with the count", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 5000 }), fc.double({ min: 0.5, max: 0.999, noNaN: true }), (events, level) => {
        const { low, high } = countInterval({ events, level });
        expect(low).toBeLessThanOrEqual(events);
        expect(high).toBeGreaterThan(events);
        expect(countInterval({ events: events + 1, level }).low).toBeGreaterThan(low);
        const per = countInterval({ events, level, exposure: 4 });
        expect(per.high).toBeCloseTo(high / 4, 9);
      }),
      settings,
    );
  });

  test("a share's limits mirror: hits and misses exchange low and high; the exact one is never inside out", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 400 }), fc.double({ min: 0, max: 1, noNaN: true }), (trials, part) => {
        const hits = Math.round(part * trials);
        for (const method of ["wilson", "exact"] as const) {
          const [a, b] = [shareInterval({ hits, trials, method }), shareInterval({ hits: trials - hits, trials, method })];
          expect(a.low + b.high).toBeCloseTo(1, 9);
          expect(a.low).toBeGreaterThanOrEqual(0);
          expect(a.high).toBeLessThanOrEqual(1);
          expect(a.low).toBeLessThan(a.high);
        }
      }),
      settings,
    );
  });

  test("the stock is the least that is enough", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 300, noNaN: true }),
        fc.double({ min: 0.5, max: 0.9999, noNaN: true }),
        (meanDemand, level) => {
          const { stock, probability } = sparesNeeded({ meanDemand, level });
          expect(probability).toBeGreaterThanOrEqual(level);
          if (stock > 0) expect(sparesNeeded({ meanDemand, level: level * 0.999 }).stock).toBeLessThanOrEqual(stock);
          expect(sparesNeeded({ meanDemand, level: probability * (1 - 1e-9) }).stock).toBe(stock);
        },
      ),
      settings,
    );
  });

  test("no demand, no stock; a huge one is found at once", () => {
    expect(sparesNeeded({ meanDemand: 0, level: 0.99 })).toEqual({ stock: 0, probability: 1 });
    expect(sparesNeeded({ meanDemand: 1e8, level: 0.95 }).stock).toBeGreaterThan(1e8);
  });
});

describe("outliers", () => {
  const values = fc.array(fc.double({ min: -100, max: 100, noNaN: true }), { minLength: 6, maxLength: 60 });

  test("shifted and stretched values have the same outliers", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: -50, max: 50 }), { minLength: 6, maxLength: 60 }), (x) => {
        const moved = x.map((one) => 4 * one + 1024);
        expect(sure(fences(moved)).outliers).toEqual(sure(fences(x)).outliers);
        expect(sure(modifiedZ(moved)).outliers).toEqual(sure(modifiedZ(x)).outliers);
        expect(sure(gesd(moved)).outliers).toEqual(sure(gesd(x)).outliers);
      }),
      settings,
    );
  });

  test("the medcouple lies from −1 to 1 and turns with its values", () => {
    fc.assert(
      fc.property(values, (x) => {
        const skew = medcouple(x);
        expect(Math.abs(skew)).toBeLessThanOrEqual(1);
        expect(medcouple(x.map((one) => -one))).toBeCloseTo(-skew, 9);
      }),
      settings,
    );
  });

  test("all equal: nothing stands out, whatever the rule", () => {
    const x = [7, 7, 7, 7, 7];
    for (const answer of [gesd(x), modifiedZ(x), fences(x)]) expect(sure(answer).outliers).toEqual([]);
  });

  test("more than half equal: the mean deviation takes over and says so", () => {
    const answer = sure(modifiedZ([1, 1, 1, 1, 1, 1, 9]));
    expect(answer).toMatchObject({ mad: 0, scaledBy: "mean-deviation", outliers: [6] });
  });
});

describe("scores", () => {
  test("one member scores its miss, and a large normal ensemble the closed form", () => {
    expect(crpsEnsemble([4], 7)).toBe(3);
    const ensemble = Array.from({ length: 4000 }, (_, i) => {
      return normalQuantile((i + 0.5) / 4000, 0, 1);
    });
    expect(sure(crpsEnsemble(ensemble, 0.8))).toBeCloseTo(crpsNormal({ mean: 0, sd: 1 }, 0.8), 3);
  });

  test("two-sided p adds up all outcomes no likelier than this one", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 60 }),
        fc.double({ min: 0.02, max: 0.98, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (trials, p, part) => {
          const hits = Math.round(part * trials);
          const chances = [(1 - p) ** trials];
          for (let k = 1; k <= trials; k++) chances.push((chances[k - 1]! * (trials - k + 1) * p) / (k * (1 - p)));
          const sum = chances.reduce((all, one) => all + (one <= chances[hits]! * (1 + 1e-7) ? one : 0), 0);
          expect(binomialTwoSided(hits, trials, p)).toBeCloseTo(Math.min(1, sum), 9);
        },
      ),
      settings,
    );
  });

  test("as many hits as promised: no evidence against", () => {
    expect(kupiec(90, 100, 0.9)).toMatchObject({ statistic: 0, p: 1 });
    expect(kupiec(0, 10, 0.9).p).toBeLessThan(1e-6);
  });
});

describe("replacement and ratio", () => {
  test("at the best age the cost is lowest, and no age pays where nothing wears or failing is cheap", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1.3, max: 6, noNaN: true }),
        fc.double({ min: 1.5, max: 40, noNaN: true }),
        (shape, costFailure) => {
          const costs = { shape, scale: 70, costPlanned: 1, costFailure };
          const best = replacementAge(costs);
          expect(replacementAge({ ...costs, shape: 1 }).age).toBeNull();
          expect(replacementAge({ ...costs, costFailure: 1 }).age).toBeNull();
          if (best.age === null) {
            expect(best.costRate).toBe(best.costRateRunToFailure);
            return;
          }
          for (const factor of [0.9, 1.1])
            expect(replacementCostRate(best.age * factor, costs)).toBeGreaterThanOrEqual(best.costRate * (1 - 1e-12));
          expect(best.costRate).toBeLessThan(best.costRateRunToFailure);
          expect(replacementAge({ ...costs, shape: 1 }).age).toBeNull();
          expect(replacementAge({ ...costs, costFailure: 1 }).age).toBeNull();
          return undefined;
        },
      ),
      settings,
    );
  });

  test("a line through the origin of exact ratios has no error", () => {
    expect(ratioLine({ x: [1, 2, 4], y: [3, 6, 12] })).toMatchObject({ slope: 3, slopeSe: 0, residualSd: 0, rSquared: 1 });
  });
});
