// One door to the statistics by name: what the command line, HTTP and the bench page ask.
import { z } from "zod";
import { isInsufficient, UsageError } from "../../shared/errors.ts";
import { bearingLife, bearingLifeNote, contactorLife, contactorLifeNote, toolLife, toolLifeNote } from "./bench-sums.ts";
import { crpsEnsemble, forecastScoreNote, scoreIntervals } from "./forecast-scores.ts";
import { countInterval, countIntervalNote, shareInterval, shareIntervalNote } from "./intervals.ts";
import { fitLognormal, lognormalFitNote } from "./lognormal-fit.ts";
import type { MethodNote } from "./method-note.ts";
import { adjustedFences, fences, gesd, modifiedZ, outliersNote } from "./outliers.ts";
import { fitPowerLaw, powerLawNote } from "./power-law.ts";
import { erlangB, erlangBNote, erlangC, erlangCNote, queueMany, queueManyNote, queueOne, queueOneNote } from "./queues.ts";
import { ratioLine, ratioLineNote } from "./ratio-line.ts";
import { repairCurve, repairCurveNote } from "./repair-curve.ts";
import { repairTrend, repairTrendNote } from "./repair-trend.ts";
import { replacementAge, replacementAgeNote } from "./replacement-age.ts";
import { sparesNeeded, sparesNeededNote } from "./spares.ts";
import { survivalCurve, survivalCurveNote } from "./survival-curve.ts";
import { fitWeibull, weibullCurve, weibullFitNote, weibullMethods } from "./weibull-fit.ts";

interface Method {
  note: MethodNote;
  /** Reads an unknown input, throws a UsageError where it doesn't fit, and answers. */
  answer(input: unknown): object;
}

// Shapes only: which numbers make sense is checked by the functions themselves.
const number = z.number("a number");
const numbers = z.array(number, "a list of numbers");
const numbersOrNull = z.array(z.union([number, z.null()], "a number or null"), "a list of numbers or null");
const level = number.optional();
const timed = { time: numbers, status: numbers, count: numbers.optional(), entry: numbers.optional() };
const inspected = { lower: numbersOrNull, upper: numbersOrNull, count: numbers.optional(), entry: numbers.optional() };
const systems = z.array(z.union([z.string(), number], "a name or a number"), "a list of systems").optional();
const end = z.union(
  [number, z.literal("last-event"), z.record(z.string(), number)],
  'a number, {system: number} or "last-event"',
);
const repairs = { system: systems, time: numbers, end };
const grouped = { ends: numbers, counts: numbers };

const word = <const T extends readonly string[]>(words: T) => z.enum(words, `one of ${words.join(", ")}`);

/** A method whose input has one shape. */
function method<T extends z.ZodRawShape>(note: MethodNote, shape: T, answer: (input: z.infer<z.ZodObject<T>>) => object): Method {
  return { note, answer: (input) => answer(read(shape, input)) };
}

/** A method over lives, by time and status or between inspections, with options of its own. */
function ofLives<T extends z.ZodRawShape>(
  note: MethodNote,
  options: T,
  answer: (lives: Parameters<typeof fitWeibull>[0], options: z.infer<z.ZodObject<T>>) => object,
): Method {
  return {
    note,
    answer(input) {
      const all = has(input, "lower", "upper")
        ? read({ ...inspected, ...options }, input)
        : read({ ...timed, ...options }, input);
      return answer(all as Parameters<typeof fitWeibull>[0], all as z.infer<z.ZodObject<T>>);
    },
  };
}

/** A method over repairs, timed or grouped. */
function ofRepairs<T extends z.ZodRawShape>(
  note: MethodNote,
  options: T,
  answer: (repairs: Parameters<typeof repairTrend>[0], options: z.infer<z.ZodObject<T>>) => object,
): Method {
  return {
    note,
    answer(input) {
      const all = has(input, "ends", "counts")
        ? read({ ...grouped, ...options }, input)
        : read({ ...repairs, ...options }, input);
      return answer(all as Parameters<typeof repairTrend>[0], all as z.infer<z.ZodObject<T>>);
    },
  };
}

const has = (input: unknown, ...names: string[]): boolean =>
  typeof input === "object" && input !== null && names.some((name) => Object.hasOwn(input, name));

/** The input in its shape, or a UsageError that names the field, its value and what would do. */
function read<T extends z.ZodRawShape>(shape: T, input: unknown): z.infer<z.ZodObject<T>> {
  const schema = z.strictObject(shape, `an object with ${Object.keys(shape).join(", ")}`);
  const result = schema.safeParse(input);
  if (result.success) return result.data as z.infer<z.ZodObject<T>>;
  const issue = result.error.issues[0]!;
  if (issue.code === "unrecognized_keys") {
    const field = issue.keys[0]!;
    throw new UsageError({ field, value: valueAt(input, [field]) ?? null, expected: `one of ${Object.keys(shape).join(", ")}` });
  }
  throw new UsageError({ field: fieldFrom(issue.path), value: valueAt(input, issue.path) ?? null, expected: issue.message });
}

const fieldFrom = (path: readonly PropertyKey[]): string =>
  path.reduce<string>(
    (name, part) => (typeof part === "number" ? `${name}[${part}]` : name ? `${name}.${String(part)}` : String(part)),
    "",
  ) || "input";

function valueAt(input: unknown, path: readonly PropertyKey[]): unknown {
  let value = input;
  for (const part of path)
    value = typeof value === "object" && value !== null ? (value as Record<PropertyKey, unknown>)[part] : undefined;
  return value;
}

const outlierRules = ["gesd", "modified-z", "fences", "adjusted-fences"] as const;

const methods: Record<string, Method> = {
  "weibull-fit": ofLives(weibullFitNote, { level, method: word(weibullMethods).optional() }, (lives, options) => {
    const fit = fitWeibull(lives, options);
    return isInsufficient(fit) ? fit : { ...fit, curve: weibullCurve(fit) };
  }),
  "lognormal-fit": ofLives(lognormalFitNote, { level }, fitLognormal),
  "survival-curve": ofLives(survivalCurveNote, { level }, survivalCurve),
  "repair-curve": ofRepairs(repairCurveNote, { level }, repairCurve),
  "repair-trend": ofRepairs(repairTrendNote, {}, repairTrend),
  "power-law-fit": ofRepairs(powerLawNote, { level }, fitPowerLaw),
  "replacement-age": method(
    replacementAgeNote,
    { shape: number, scale: number, costPlanned: number, costFailure: number },
    replacementAge,
  ),
  "bearing-life": method(
    bearingLifeNote,
    { dynamicLoadKn: number, loadKn: number, rpm: number, kind: word(["ball", "roller"]), reliability: number.optional() },
    bearingLife,
  ),
  "contactor-life": method(contactorLifeNote, { b10d: number, operationsPerYear: number }, contactorLife),
  "tool-life": method(toolLifeNote, { speed: numbers, minutes: numbers }, toolLife),
  "erlang-b": method(erlangBNote, { servers: number, load: number }, ({ servers, load }) => ({
    probability: erlangB(servers, load),
  })),
  "erlang-c": method(erlangCNote, { servers: number, load: number }, ({ servers, load }) => ({
    probability: erlangC(servers, load),
  })),
  "queue-many": method(queueManyNote, { arrivalRate: number, serviceRate: number, servers: number }, queueMany),
  "queue-one": method(queueOneNote, { arrivalRate: number, serviceMean: number, serviceSd: number }, queueOne),
  outliers: method(
    outliersNote,
    { x: numbers, rule: word(outlierRules), max: number.optional(), alpha: number.optional(), limit: number.optional() },
    ({ x, rule, max, alpha, limit }) => {
      if (rule === "gesd") return gesd(x, { max, alpha });
      if (rule === "modified-z") return modifiedZ(x, { limit });
      return rule === "fences" ? fences(x) : adjustedFences(x);
    },
  ),
  "ratio-line": method(ratioLineNote, { x: numbers, y: numbers }, ratioLine),
  "count-interval": method(countIntervalNote, { events: number, exposure: number.optional(), level }, countInterval),
  "share-interval": method(
    shareIntervalNote,
    { hits: number, trials: number, level, method: word(["wilson", "exact"]).optional() },
    shareInterval,
  ),
  "forecast-score": {
    note: forecastScoreNote,
    answer(input) {
      if (has(input, "ensemble")) {
        const { ensemble, observed } = read({ ensemble: numbers, observed: number }, input);
        const crps = crpsEnsemble(ensemble, observed);
        return typeof crps === "number" ? { crps } : crps;
      }
      const bound = z.union([number, numbers], "a number or a list of numbers");
      return scoreIntervals(read({ lower: bound, upper: bound, alpha: number, observed: numbers }, input));
    },
  },
  "spares-needed": method(sparesNeededNote, { meanDemand: number, level: number }, sparesNeeded),
};

/** Every method's name and its line of help. */
export const calcMethods: readonly { name: string; help: string }[] = Object.entries(methods).map(([name, { note }]) => ({
  name,
  help: note.help,
}));

/** Every method with its words for the page: title, plain words, formula, source, and an input to start from. */
export const benchMethods: readonly ({ name: string } & MethodNote)[] = Object.entries(methods).map(([name, { note }]) => ({
  name,
  ...note,
}));

/**
 * The answer of one method to one JSON object, names as in `calcMethods`; `{insufficient: {have, need}}` where the data are too
 * few. Figures aren't rounded; one that doesn't exist is null.
 * Throws a UsageError: `method` for an unknown one, else the field that is wrong (`time[1]`), its value and what would do.
 */
export function calc(method: string, input: unknown): object {
  if (!Object.hasOwn(methods, method)) {
    throw new UsageError({ field: "method", value: method, expected: `one of ${Object.keys(methods).join(", ")}` });
  }
  return methods[method]!.answer(input);
}
