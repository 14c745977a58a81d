// The door by name: every method of the contract answers under its own names, and says exactly what is wrong with an input.
import { describe, expect, test } from "vitest";
import { benchMethods, calc, calcMethods } from "../../analytics/stats/index.ts";
import { isInsufficient, UsageError } from "../../shared/errors.ts";

const repairs = { time: [5, 40, 43, 175, 389], end: 500 };
const lives = { time: [30, 49, 82, 90, 45], status: [1, 1, 1, 1, 0] };

// Method, input, and the names that the contract promises.
const promised: [method: string, input: object, names: string][] = [
  ["weibull-fit", lives, "shape scale logLikelihood shapeSe scaleSe shapeLow shapeHigh scaleLow scaleHigh b10 mean"],
  ["weibull-fit", { ...lives, method: "reduced-bias" }, "shape scale b10 mean"],
  ["weibull-fit", { lower: [0, 4, null], upper: [3, 6, null], count: [2, 1, 5] }, "shape scale"],
  ["lognormal-fit", lives, "mu sigma logLikelihood muSe sigmaSe"],
  ["survival-curve", { ...lives, level: 0.9 }, "time atRisk survival se low high cumulativeHazard median"],
  ["repair-curve", repairs, "time atRisk events mean seRobust sePoisson"],
  ["repair-trend", repairs, "laplaceU laplaceP milChi2 milDf milCdf reversals"],
  ["power-law-fit", repairs, "beta lambda betaConditional betaUnbiased cvm intensityAtEnd mtbfAtEnd"],
  [
    "power-law-fit",
    { ends: [20, 40, 60], counts: [9, 5, 2] },
    "beta lambda betaConditional betaUnbiased cvm intensityAtEnd mtbfAtEnd",
  ],
  ["replacement-age", { shape: 2, scale: 80, costPlanned: 1, costFailure: 3 }, "age costRate costRateRunToFailure"],
  ["bearing-life", { dynamicLoadKn: 50, loadKn: 10, rpm: 1000, kind: "roller", reliability: 0.95 }, "millionRevs hours"],
  ["contactor-life", { b10d: 2e7, operationsPerYear: 1577880 }, "mttfdYears"],
  ["tool-life", { speed: [180, 110], minutes: [4.25, 35] }, "n c"],
  ["erlang-b", { servers: 2, load: 1 }, "probability"],
  ["erlang-c", { servers: 2, load: 1 }, "probability"],
  [
    "queue-many",
    { arrivalRate: 2, serviceRate: 3, servers: 2 },
    "utilisation pWait queueLength wait timeInSystem inSystem pEmpty",
  ],
  [
    "queue-one",
    { arrivalRate: 0.8, serviceMean: 1, serviceSd: 0 },
    "utilisation pWait queueLength wait timeInSystem inSystem pEmpty",
  ],
  ["outliers", { x: [1, 2, 3, 9], rule: "gesd", max: 1, alpha: 0.1 }, "outliers statistic critical"],
  ["outliers", { x: [1, 2, 3, 9], rule: "modified-z", limit: 3 }, "outliers median mad scores"],
  ["outliers", { x: [1, 2, 3, 9], rule: "fences" }, "outliers q1 q3 lower upper"],
  ["outliers", { x: [1, 2, 3, 9], rule: "adjusted-fences" }, "outliers medcouple lower upper"],
  ["ratio-line", { x: [1, 2], y: [2, 5] }, "slope slopeSe residualSd"],
  ["count-interval", { events: 3, level: 0.9 }, "low high"],
  ["share-interval", { hits: 3, trials: 9, level: 0.9, method: "exact" }, "low high"],
  ["forecast-score", { ensemble: [1, 2], observed: 3 }, "crps"],
  ["forecast-score", { lower: 1, upper: 3, alpha: 0.2, observed: [2, 5] }, "score coverage coverageP"],
  ["spares-needed", { meanDemand: 4.32, level: 0.95 }, "stock probability"],
];

const figuresOf = (answer: object): unknown[] =>
  Object.values(answer).flatMap((one) => (typeof one === "object" && one !== null ? figuresOf(one) : [one]));

describe("names", () => {
  test.each(promised)("%s of %j", (method, input, names) => {
    expect(Object.keys(calc(method, input))).toEqual(expect.arrayContaining(names.split(" ")));
  });

  test("every method of the contract is there, with a line of help", () => {
    expect(calcMethods.map(({ name }) => name).sort()).toEqual([...new Set(promised.map(([name]) => name))].sort());
    for (const { help } of calcMethods) expect(help).toMatch(/^\S.{10,}$/);
  });

  test("every method's own example gives finite figures or null, and its words are there", () => {
    for (const { name, example, title, plain, formula, source } of benchMethods) {
      const answer = calc(name, example);
      expect(isInsufficient(answer), name).toBe(false);
      const figures = figuresOf(answer);
      expect(figures.filter((figure) => typeof figure === "number" && !Number.isFinite(figure))).toEqual([]);
      for (const words of [title, plain, formula, source]) expect(words.length).toBeGreaterThan(3);
    }
  });

  test("whatever is learned from lives says that a fit replaces no manual and no inspection", () => {
    const learned = ["weibull-fit", "lognormal-fit", "survival-curve", "replacement-age", "bearing-life", "spares-needed"];
    for (const name of learned) {
      expect(benchMethods.find((method) => method.name === name)?.plain).toContain(
        "never replaces the maker's manual or an inspection",
      );
    }
  });
});

const wrong: [method: string, input: unknown, field: string, value: unknown, expected: string][] = [
  ["weibul", {}, "method", "weibul", "one of weibull-fit"],
  ["toString", {}, "method", "toString", "one of"],
  ["weibull-fit", { time: [1, -2], status: [1, 1] }, "time[1]", -2, "a positive number"],
  ["weibull-fit", { time: [1, 0], status: [1, 1] }, "time[1]", 0, "a positive number"],
  ["weibull-fit", { time: [1, "2"], status: [1, 1] }, "time[1]", "2", "a number"],
  ["weibull-fit", { time: [1, null], status: [1, 1] }, "time[1]", null, "a number"],
  ["weibull-fit", { time: [1, 2] }, "status", null, "a list of numbers"],
  ["weibull-fit", { time: [1, 2], status: [1] }, "status", 1, "2 values, as many as time"],
  ["weibull-fit", { time: [1, 2], status: [1, 2] }, "status[1]", 2, "1 (failed) or 0"],
  ["weibull-fit", { time: [1, 2], status: [1, 1], count: [1, 0.5] }, "count[1]", 0.5, "a whole number"],
  ["weibull-fit", { time: [1, 2], status: [1, 1], entry: [0, 2] }, "entry[1]", 2, "below the end, 2"],
  ["weibull-fit", { time: [1, 2], status: [1, 1], levle: 0.9 }, "levle", 0.9, "one of time, status"],
  ["weibull-fit", { time: [1, 2], status: [1, 1], level: 95 }, "level", 95, "between 0 and 1"],
  ["weibull-fit", { time: [1, 2], status: [1, 1], method: "mls" }, "method", "mls", "one of mle, rank-x-on-y"],
  ["weibull-fit", { lower: [1, 5], upper: [2, 3] }, "upper[1]", 3, "at least lower[1] = 5"],
  ["weibull-fit", { lower: [0, 1], upper: [0, 3] }, "upper[0]", 0, "a positive number"],
  [
    "weibull-fit",
    { lower: [1, 2], upper: [2, 3], method: "rank-x-on-y" },
    "method",
    "rank-x-on-y",
    "mle for lives with entry or inspections",
  ],
  ["weibull-fit", [1, 2], "input", [1, 2], "an object with time, status"],
  ["weibull-fit", null, "input", null, "an object"],
  ["survival-curve", { lower: [1, 2], upper: [2, null] }, "upper[0]", 2, "can't be drawn from inspections"],
  ["repair-trend", { time: [5, 6, 12, 13], end: 12 }, "time[3]", 13, "end of watch, 12"],
  ["repair-trend", { time: [5, 6], end: "last" }, "end", "last", '"last-event"'],
  ["repair-curve", { system: ["a", "b"], time: [5, 6], end: { a: 9 } }, "system[1]", "b", "named in end"],
  ["repair-curve", { time: [5, 6], end: { a: 9 } }, "system", null, "names the system"],
  ["power-law-fit", { ends: [5, 5], counts: [3, 3] }, "ends[1]", 5, "a number above 5"],
  ["replacement-age", { shape: 2, scale: 0, costPlanned: 1, costFailure: 3 }, "scale", 0, "a positive number"],
  ["bearing-life", { dynamicLoadKn: 1, loadKn: 1, rpm: 1, kind: "ball", reliability: 95 }, "reliability", 95, "0.9 to 0.9995"],
  ["bearing-life", { dynamicLoadKn: 1, loadKn: 1, rpm: 1, kind: "cone" }, "kind", "cone", "one of ball, roller"],
  ["tool-life", { speed: [100, 200], minutes: [1, 2] }, "minutes[1]", 2, "a shorter life"],
  ["tool-life", { speed: [100], minutes: [1, 2] }, "speed", 1, "two values"],
  ["erlang-b", { servers: 1.5, load: 1 }, "servers", 1.5, "a whole number"],
  ["queue-many", { arrivalRate: 3, serviceRate: 1, servers: 3 }, "arrivalRate", 3, "utilisation below 1"],
  ["queue-one", { arrivalRate: 1, serviceMean: 1, serviceSd: 1 }, "arrivalRate", 1, "utilisation below 1"],
  ["outliers", { x: [1, 2, 3], rule: "grubbs" }, "rule", "grubbs", "one of gesd"],
  ["outliers", { x: [1, 2, 3], rule: "gesd", max: 2 }, "max", 2, "at most 1"],
  ["share-interval", { hits: 4, trials: 3 }, "hits", 4, "at most trials = 3"],
  ["forecast-score", { lower: 3, upper: 1, alpha: 0.1, observed: [2] }, "upper", 1, "at least lower = 3"],
  ["forecast-score", {}, "lower", null, "a number or a list"],
  ["spares-needed", { meanDemand: -1, level: 0.9 }, "meanDemand", -1, "0 or more"],
];

describe("errors name the field, the value and what would do", () => {
  test.each(wrong)("%s of %j: %s", (method, input, field, value, expected) => {
    let complaint: UsageError["complaint"] | undefined;
    try {
      calc(method, input);
    } catch (error) {
      expect(error).toBeInstanceOf(UsageError);
      complaint = (error as UsageError).complaint;
    }
    // A value that isn't there is null in JSON.
    expect({ ...complaint, value: complaint?.value ?? null }).toEqual({
      field,
      value,
      expected: expect.stringContaining(expected),
    });
  });
});

describe("too little data is an answer", () => {
  test.each([
    ["weibull-fit", { time: [], status: [] }, 0, 2],
    ["weibull-fit", { time: [5, 9], status: [0, 0] }, 0, 2],
    ["weibull-fit", { time: [5, 9], status: [1, 0] }, 1, 2],
    ["weibull-fit", { time: [5, 5, 5], status: [1, 1, 1] }, 1, 2],
    ["weibull-fit", { time: [5, 6], status: [1, 1], method: "reduced-bias" }, 2, 3],
    ["lognormal-fit", { time: [5], status: [1], count: [9] }, 1, 2],
    ["survival-curve", { time: [], status: [] }, 0, 1],
    ["repair-curve", { time: [], end: 9 }, 0, 1],
    ["repair-trend", { time: [1, 2, 3], end: 9 }, 3, 4],
    ["power-law-fit", { time: [9, 9, 9, 9], end: 9 }, 0, 4],
    ["outliers", { x: [1, 2], rule: "fences" }, 2, 3],
    ["ratio-line", { x: [], y: [] }, 0, 1],
    ["forecast-score", { ensemble: [], observed: 1 }, 0, 1],
    ["forecast-score", { lower: 1, upper: 2, alpha: 0.1, observed: [] }, 0, 1],
  ])("%s of %j", (method, input, have, need) => {
    expect(calc(method, input)).toEqual({ insufficient: { have, need } });
  });

  test("one failure and a wide inspection that holds it are one age: no fit", () => {
    expect(calc("weibull-fit", { lower: [4, 3], upper: [4, 6] })).toEqual({ insufficient: { have: 2, need: 3 } });
  });
});
