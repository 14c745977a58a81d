// Fits and curves: hard cases, and laws that hold whatever the lives.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  fitLognormal,
  fitWeibull,
  type Lives,
  livesFrom,
  rossFactor,
  survivalCurve,
  type TimedLives,
  weibullLogLikelihood,
} from "../../analytics/stats/index.ts";
import { isInsufficient } from "../../shared/errors.ts";

const settings = { seed: 20261125, numRuns: 120 };

/** Lives with at least two failures at different times, some ties, some censored, some entered late. */
const someLives = fc
  .array(
    fc.record({
      time: fc.oneof(fc.double({ min: 0.5, max: 500, noNaN: true }), fc.integer({ min: 1, max: 20 })),
      status: fc.constantFrom(1, 1, 1, 0),
      count: fc.integer({ min: 1, max: 4 }),
    }),
    { minLength: 3, maxLength: 30 },
  )
  .map((rows) => ({
    time: rows.map(({ time }) => time),
    status: rows.map(({ status }) => status),
    count: rows.map(({ count }) => count),
  }))
  .filter(({ time, status }) => {
    const failures = time.filter((_, i) => status[i] === 1);
    return failures.length > 1 && Math.max(...failures) > 1.05 * Math.min(...failures);
  });

function weibull(lives: Lives, method?: "mle" | "reduced-bias" | "rank-x-on-y") {
  const fit = fitWeibull(lives, { method });
  if (isInsufficient(fit)) throw new Error(`insufficient: ${JSON.stringify(lives)}`);
  return fit;
}

const near = (a: number | null, b: number | null, slack = 1e-6) => {
  expect(Math.abs(a! - b!)).toBeLessThanOrEqual(slack * Math.max(Math.abs(b!), 1e-300));
};

describe("laws of the fits", () => {
  test("another unit of time leaves the shape alone and scales the scale", () => {
    fc.assert(
      fc.property(someLives, fc.double({ min: 1e-4, max: 1e6, noNaN: true }), (lives, unit) => {
        const other = { ...lives, time: lives.time.map((time) => time * unit) };
        const [a, b] = [weibull(lives), weibull(other)];
        near(b.shape, a.shape);
        near(b.scale, a.scale * unit);
        near(b.shapeSe, a.shapeSe);
        near(b.b10, a.b10 * unit);
        const [c, d] = [fitLognormal(lives), fitLognormal(other)];
        if (isInsufficient(c) || isInsufficient(d)) throw new Error("insufficient");
        near(d.sigma, c.sigma);
        expect(d.mu - c.mu).toBeCloseTo(Math.log(unit), 6);
      }),
      settings,
    );
  });

  test("a count of two equals the life twice, and the order of the lives doesn't matter", () => {
    fc.assert(
      fc.property(someLives, (lives) => {
        const spelt = lives.count.flatMap((count, i) => Array.from({ length: count }, () => i)).reverse();
        const other = { time: spelt.map((i) => lives.time[i]!), status: spelt.map((i) => lives.status[i]!) };
        for (const method of ["mle", "rank-x-on-y"] as const) {
          near(weibull(other, method).shape, weibull(lives, method).shape);
          near(weibull(other, method).scale, weibull(lives, method).scale);
        }
        const [a, b] = [survivalCurve(lives), survivalCurve(other)];
        if (isInsufficient(a) || isInsufficient(b)) throw new Error("insufficient");
        expect(b.time).toEqual(a.time);
        for (const [i, survival] of a.survival.entries()) expect(b.survival[i]).toBeCloseTo(survival, 12);
      }),
      settings,
    );
  });

  test("doubling every count divides the standard errors by √2 and leaves the estimates", () => {
    fc.assert(
      fc.property(someLives, (lives) => {
        const [one, two] = [weibull(lives), weibull({ ...lives, count: lives.count.map((count) => 2 * count) })];
        near(two.shape, one.shape);
        near(two.scale, one.scale);
        near(two.shapeSe, one.shapeSe! / Math.SQRT2);
        near(two.scaleSe, one.scaleSe! / Math.SQRT2);
      }),
      settings,
    );
  });

  test("at fixed shape, censoring later never lowers the scale", () => {
    fc.assert(
      fc.property(
        someLives,
        fc.double({ min: 0.4, max: 5, noNaN: true }),
        fc.double({ min: 1, max: 9, noNaN: true }),
        (lives, shape, by) => {
          const later = { ...lives, time: lives.time.map((time, i) => (lives.status[i] === 0 ? time * by : time)) };
          // The likeliest scale of a known shape: (Σ t^shape ÷ failures)^(1/shape), here found through the likelihood itself.
          const best = (known: TimedLives) => {
            const failures = known.status.reduce((sum, one, i) => sum + one * known.count![i]!, 0);
            const scale =
              (known.time.reduce((sum, time, i) => sum + known.count![i]! * time ** shape, 0) / failures) ** (1 / shape);
            const at = (factor: number) => weibullLogLikelihood(livesFrom(known), { shape, scale: scale * factor });
            expect(at(1)).toBeGreaterThanOrEqual(Math.max(at(0.99), at(1.01)));
            return scale;
          };
          expect(best(later)).toBeGreaterThanOrEqual(best(lives) * (1 - 1e-12));
        },
      ),
      settings,
    );
  });

  test("the top is a top: no shape and scale nearby explains the lives better", () => {
    fc.assert(
      fc.property(someLives, (lives) => {
        const fit = weibull(lives);
        const known = livesFrom(lives);
        near(weibullLogLikelihood(known, fit), fit.logLikelihood, 1e-9);
        for (const [s, m] of [
          [1.01, 1],
          [0.99, 1],
          [1, 1.01],
          [1, 0.99],
          [1.01, 0.99],
        ] as const) {
          expect(weibullLogLikelihood(known, { shape: fit.shape * s, scale: fit.scale * m })).toBeLessThanOrEqual(
            fit.logLikelihood! + 1e-9,
          );
        }
        expect(fit.shapeLow).toBeLessThan(fit.shape);
        expect(fit.b10).toBeLessThan(fit.scale);
      }),
      settings,
    );
  });

  test("narrow inspections around exact lives give the exact fit", () => {
    fc.assert(
      fc.property(someLives, (lives) => {
        const exact = weibull({ ...lives, status: lives.status.map(() => 1) });
        const narrow = weibull({
          lower: lives.time.map((t) => t * (1 - 1e-6)),
          upper: lives.time.map((t) => t * (1 + 1e-6)),
          count: lives.count,
        });
        near(narrow.shape, exact.shape, 1e-4);
        near(narrow.scale, exact.scale, 1e-4);
      }),
      settings,
    );
  });

  test("an entry at 0 is no entry, and watching from later on never shortens the life", () => {
    const lives = { time: [41, 55, 62, 70, 88], status: [1, 1, 0, 1, 1] };
    expect(weibull({ ...lives, entry: [0, 0, 0, 0, 0] })).toEqual(weibull(lives));
    // Of those that died before they were seen nothing is known: the same ends seen from later on speak of more early deaths.
    expect(weibull({ ...lives, entry: [30, 30, 30, 30, 30] }).b10).toBeLessThan(weibull(lives).b10);
  });
});

describe("hard cases", () => {
  test("ties: half of the failures at one age still give the likeliest fit", () => {
    const fit = weibull({ time: [8, 8, 8, 8, 3, 12], status: [1, 1, 1, 1, 1, 1] });
    expect(fit.shape).toBeGreaterThan(2);
    expect(fit.converged).toBe(true);
  });

  test("a failure and a censored life at one age: the failure came first", () => {
    const curve = survivalCurve({ time: [5, 5, 9], status: [0, 1, 1] });
    expect(curve).toMatchObject({ time: [5, 9], atRisk: [3, 1], survival: [2 / 3, 0], median: 9 });
  });

  test("two failures among a million still good", () => {
    const fit = weibull({ time: [100, 200, 250], status: [1, 1, 0], count: [1, 1, 1_000_000] });
    expect(fit.failures).toBe(2);
    expect(fit.scale).toBeGreaterThan(1000);
  });

  test("ages from 1e-300 to 1e300 don't overflow", () => {
    expect(weibull({ time: [1e-300, 1, 1e300], status: [1, 1, 1] }).shape).toBeGreaterThan(0);
  });

  test("failures a hair apart give a shape in the millions, not a crash", () => {
    expect(weibull({ time: [100, 100.0001], status: [1, 1] }).shape).toBeGreaterThan(1e6);
  });

  test("inspections that all hold one common age have no likeliest fit", () => {
    expect(fitWeibull({ lower: [1, 2, 0], upper: [4, 5, 3] })).toEqual({ insufficient: { have: 2, need: 3 } });
    expect(fitLognormal({ lower: [1, 2, 0], upper: [4, 5, 3] })).toEqual({ insufficient: { have: 2, need: 3 } });
  });

  test("lives seen only in their last moment have no likeliest fit", () => {
    const seenLate = { time: [50, 60, 70, 80], status: [1, 1, 1, 0], entry: [49, 59.9, 69, 79.5] };
    expect(fitWeibull(seenLate)).toHaveProperty("insufficient");
  });

  test("a part just fitted or never looked at tells nothing and harms nothing", () => {
    const lives = { lower: [10, 30, 20], upper: [10, 30, null] };
    const padded = { lower: [10, 30, 20, 0, null], upper: [10, 30, null, null, null] };
    near(weibull(padded).shape, weibull(lives).shape, 1e-9);
    near(weibull(padded).scale, weibull(lives).scale, 1e-9);
  });

  test("late entries: survival falls to 0 where the few under watch all fail, and says how few", () => {
    const curve = survivalCurve({ time: [5, 9, 20], status: [1, 1, 1], entry: [0, 6, 6] });
    expect(curve).toMatchObject({ atRisk: [1, 2, 1], survival: [0, 0, 0], se: [null, null, null], low: [null, null, null] });
  });

  test("Ross's factor takes a shape of five failures down to 0.694", () => {
    // Ross 1994, IEEE Trans. Dielectrics 1(2), (n − 2)/(n − 0.68) at n = 5.
    expect(rossFactor(5)).toBeCloseTo(3 / 4.32, 12);
    const lives = { time: [10, 22, 31, 37, 52], status: [1, 1, 1, 1, 1] };
    expect(weibull(lives, "reduced-bias").shape).toBeCloseTo(weibull(lives).shape * (3 / 4.32), 9);
  });
});
