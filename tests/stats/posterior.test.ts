// Lives from few lives: the belief, the lives and both together; members of a group; draws of what is left.
import { describe, expect, test } from "vitest";
import {
  drawRemainingLives,
  fitWeibull,
  type LifePrior,
  type Lives,
  partClasses,
  posteriorLife,
  posteriorMembers,
  predictiveQuantile,
  priorFor,
  weibullQuantile,
} from "../../analytics/stats/index.ts";
import { drawLife, seeded } from "./random.ts";

const none: Lives = { time: [], status: [] };
const knives = priorFor("planer-knives");
const allFailed = (time: number[]): Lives => ({ time, status: time.map(() => 1) });

describe("beliefs", () => {
  test.each(partClasses.map((name) => [name]))(
    "%s: a scale wide by a factor of 2.2 or more, a shape above 0, and its origin",
    (name) => {
      const unit = (["hours", "starts", "days"] as const).find((one) => priorFor(name, one).isOwn)!;
      const prior = priorFor(name, unit);
      expect(prior.scale.logSd).toBeGreaterThanOrEqual(0.8);
      expect(prior.shape.median).toBeGreaterThan(1);
      expect(prior.source.length).toBeGreaterThan(10);
    },
  );

  test("an unknown class, none, or another unit gets the wide general one, and it says so", () => {
    for (const prior of [priorFor("flux-capacitor"), priorFor(null), priorFor("contactor", "hours"), priorFor("constructor")]) {
      expect(prior.isOwn).toBe(false);
      expect(prior.scale.logSd).toBe(2);
      expect(prior.source).toContain("wide general belief");
    }
    expect(priorFor("contactor", "starts").isOwn).toBe(true);
    expect(priorFor("filter", "load-hours").isOwn).toBe(true);
  });

  test("the names by which sample workshops call their parts have beliefs of their own", () => {
    for (const name of [
      "circular-saw-blade",
      "band-saw-blade",
      "planer-knives",
      "abrasive-belt",
      "drive-belt",
      "bearing",
      "lubricant",
    ]) {
      expect(priorFor(name).isOwn, name).toBe(true);
    }
  });
});

describe("posterior", () => {
  test("without lives it returns the belief and says so", () => {
    const posterior = posteriorLife(none, knives);
    expect(posterior.basis).toBe("prior");
    expect(posterior.data).toBeNull();
    // A log-normal's median and its 10 and 90 % points, z = 1.2816 (normal tables).
    expect(posterior.scale.best / 30).toBeCloseTo(1, 2);
    expect(posterior.scale.high / 30).toBeCloseTo(Math.exp(1.2816 * 1.1), 1);
    expect(posterior.shape.low / 2.5).toBeCloseTo(Math.exp(-1.2816 * 0.5), 2);
    expect(posteriorLife({ time: [0, 0], status: [0, 0] }, knives).basis).toBe("prior");
  });

  test("one life moves it towards that life, and prior, data and posterior stand apart", () => {
    const posterior = posteriorLife(allFailed([90]), knives);
    expect(posterior.basis).toBe("lives");
    expect(posterior.prior.scale.best).toBeCloseTo(30, 0);
    expect(posterior.scale.best).toBeGreaterThan(60);
    expect(posterior.scale.best).toBeLessThan(110);
    expect(posterior.data).toBeNull();
  });

  test("all still good: the scale moves up, the shape hardly", () => {
    const posterior = posteriorLife({ time: [50, 60, 80], status: [0, 0, 0] }, knives);
    expect(posterior.scale.best).toBeGreaterThan(60);
    expect(Math.abs(Math.log(posterior.shape.best / 2.5))).toBeLessThan(0.2);
  });

  test.each([1, 2, 3])("from 200 failures on it agrees with maximum likelihood within its standard error (seed %i)", (seed) => {
    const random = seeded(seed);
    const lives = Array.from({ length: 260 }, () => drawLife(2.2, 75, random));
    const censored = { time: lives.map((life) => Math.min(life, 100)), status: lives.map((life) => (life <= 100 ? 1 : 0)) };
    const fit = fitWeibull(censored);
    if ("insufficient" in fit) throw new Error("insufficient");
    expect(fit.failures).toBeGreaterThan(200);
    const posterior = posteriorLife(censored, knives);
    expect(Math.abs(posterior.shape.best - fit.shape)).toBeLessThan(fit.shapeSe!);
    expect(Math.abs(posterior.scale.best - fit.scale)).toBeLessThan(fit.scaleSe!);
    // And as sure as it: the 80 % interval is 2·1.2816 standard errors wide.
    expect((posterior.scale.high - posterior.scale.low) / (2 * 1.2816 * fit.scaleSe!)).toBeCloseTo(1, 1);
  });

  test("ten thousand failures far from the belief are still found on the grid", () => {
    const random = seeded(5);
    const lives = allFailed(Array.from({ length: 10_000 }, () => drawLife(6, 9000, random)));
    const posterior = posteriorLife(lives, priorFor("needle"));
    expect(posterior.shape.best).toBeCloseTo(6, 0);
    expect(posterior.scale.best / 9000).toBeCloseTo(1, 2);
  });

  test("another unit of time leaves the shape alone and scales the rest", () => {
    const lives = { time: [22, 41, 37, 50], status: [1, 1, 1, 0] };
    const inMinutes: LifePrior = { ...knives, scale: { ...knives.scale, median: knives.scale.median * 60 } };
    const [a, b] = [posteriorLife(lives, knives), posteriorLife({ ...lives, time: lives.time.map((t) => t * 60) }, inMinutes)];
    expect(b.shape.best / a.shape.best).toBeCloseTo(1, 6);
    expect(b.b10.low / a.b10.low / 60).toBeCloseTo(1, 6);
  });

  test("inspections, late entries and left-censored lives count as what they tell", () => {
    const exact = posteriorLife(allFailed([40, 44]), knives);
    const narrow = posteriorLife({ lower: [39.99, 43.99], upper: [40.01, 44.01] }, knives);
    expect(narrow.scale.best / exact.scale.best).toBeCloseTo(1, 2);
    const wide = posteriorLife({ lower: [10, 14], upper: [70, 74] }, knives);
    expect(wide.scale.high / wide.scale.low).toBeGreaterThan(exact.scale.high / exact.scale.low);
    const late = posteriorLife({ time: [40, 44], status: [1, 1], entry: [39, 43] }, knives);
    expect(late.scale.high / late.scale.low).toBeGreaterThan(exact.scale.high / exact.scale.low);
    expect(posteriorLife({ lower: [0], upper: [5] }, knives).scale.best).toBeLessThan(30);
  });
});

describe("what is left", () => {
  const posterior = posteriorLife({ time: [22, 41, 37, 50, 12], status: [1, 1, 1, 1, 0] }, knives);

  test("same generator, same draws; other seed, others", () => {
    const draw = (seed: number) => drawRemainingLives(posterior, { age: 12, count: 50, random: seeded(seed) });
    expect(draw(4)).toEqual(draw(4));
    expect(draw(4)).not.toEqual(draw(5));
  });

  test("draws from new have the predictive quantiles, and all are finite and 0 or more", () => {
    const draws = drawRemainingLives(posterior, { count: 40_000, random: seeded(9) }).sort();
    expect(draws[0]).toBeGreaterThanOrEqual(0);
    expect(Number.isFinite(draws.at(-1))).toBe(true);
    for (const p of [0.1, 0.5, 0.9])
      expect(draws[Math.floor(p * draws.length)]! / predictiveQuantile(posterior, p)).toBeCloseTo(1, 1);
  });

  test("what wears out has less left the older it is", () => {
    const mean = (age: number) =>
      drawRemainingLives(posterior, { age, count: 5000, random: seeded(2) }).reduce((sum, one) => sum + one, 0) / 5000;
    expect(mean(0)).toBeGreaterThan(mean(20));
    expect(mean(20)).toBeGreaterThan(mean(60));
  });

  test("the predictive B10 is more careful than the one at the median", () => {
    expect(predictiveQuantile(posterior, 0.1)).toBeLessThan(
      weibullQuantile(0.1, { shape: posterior.shape.best, scale: posterior.scale.best }),
    );
  });
});

describe("members of a group", () => {
  const random = seeded(77);
  const lives = (scale: number, count: number) => allFailed(Array.from({ length: count }, () => drawLife(2.5, scale, random)));
  const [many, few] = [lives(60, 40), lives(25, 2)];
  const answer = posteriorMembers(
    [
      { name: "first edge", lives: many },
      { name: "second edge", lives: few },
      { name: "third edge", lives: none },
    ],
    knives,
  );
  const [first, second, third] = answer.members;

  test("a group of three as three million weighted draws see it", () => {
    const small = posteriorMembers(
      [
        { name: "three", lives: allFailed([22, 41, 37]) },
        { name: "two", lives: { time: [60, 75], status: [1, 0] } },
        { name: "none", lives: none },
      ],
      { ...priorFor("saw-blade"), shape: { median: 2.5, logSd: 0.4 }, scale: { median: 40, logSd: 1 } },
    );
    // tests/reference/members.py, numpy default_rng(1), effective 155,000 draws: good to about 0.5 %.
    const drawn = [
      [31.2, 41.69, 62.82, 10.81, 18.39, 26.81],
      [52.68, 74.02, 117.72, 16.89, 32.58, 54.2],
      [25.68, 55.51, 118.14, 9.34, 22.84, 52.62],
    ];
    expect(small.between).toBeCloseTo(0.531, 2);
    for (const [k, { scale, b10 }] of small.members.entries()) {
      const ours = [scale.low, scale.best, scale.high, b10.low, b10.best, b10.high];
      for (const [i, figure] of ours.entries()) expect(Math.abs(figure / drawn[k]![i]! - 1)).toBeLessThan(0.012);
    }
  });

  test("shrinkage is 1 without lives and falls as they come", () => {
    expect(third!.shrinkage).toBe(1);
    expect(second!.shrinkage).toBeLessThan(1);
    expect(first!.shrinkage).toBeLessThan(second!.shrinkage);
    expect(first!.shrinkage).toBeLessThan(0.2);
  });

  test("few lives lean towards the group, many stay with their own", () => {
    const alone = posteriorLife(few, knives).scale.best;
    expect(second!.scale.best).toBeGreaterThan(alone);
    expect(second!.scale.best).toBeLessThan(first!.scale.best);
    expect(first!.scale.best / posteriorLife(many, knives).scale.best).toBeCloseTo(1, 1);
  });

  test("a member without lives is the group's own guess, no surer", () => {
    expect(third!.scale.best / answer.group.scale.best).toBeCloseTo(1, 1);
    expect(third!.scale.high / third!.scale.low).toBeGreaterThan(first!.scale.high / first!.scale.low);
  });

  test("members alike: the spread between them comes out small, unlike: large", () => {
    const alike = posteriorMembers(
      [40, 40, 40, 40].map((scale, i) => ({ name: `${i}`, lives: lives(scale, 25) })),
      knives,
    );
    const unlike = posteriorMembers(
      [15, 30, 60, 120].map((scale, i) => ({ name: `${i}`, lives: lives(scale, 25) })),
      knives,
    );
    expect(alike.between).toBeLessThan(0.3);
    expect(unlike.between).toBeGreaterThan(0.6);
  });

  test("a member ten times longer-lived than the rest, of steep shape, keeps its own scale", () => {
    const steep = (scale: number) => allFailed(Array.from({ length: 20 }, () => drawLife(6, scale, random)));
    const apart = posteriorMembers(
      [12, 13, 14, 130].map((scale, i) => ({ name: `${i}`, lives: steep(scale) })),
      knives,
    );
    expect(apart.members[3]!.scale.best / 130).toBeCloseTo(1, 0);
    expect(apart.members[0]!.shape.best).toBeGreaterThan(4);
  });

  test("one member alone is much like an ordinary posterior, only wider", () => {
    const lone = posteriorMembers([{ name: "only", lives: few }], knives).members[0]!;
    expect(Math.abs(Math.log(lone.scale.best / posteriorLife(few, knives).scale.best))).toBeLessThan(0.25);
  });

  test("no member is a mistake", () => {
    expect(() => posteriorMembers([], knives)).toThrow("members");
  });
});
