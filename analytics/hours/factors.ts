// Run-hours per enabled hour of each machine: from motor events, hour-meter readings, what was typed, or none of these.
import type { DuckDBConnection } from "@duckdb/node-api";
import tQuantile from "@stdlib/stats-base-dists-t-quantile";
import { median } from "simple-statistics";
import { isInsufficient, type Range } from "../../shared/errors.ts";
import { ask, perform, question } from "../../shared/question.ts";
import { isoFromDate } from "../../shared/relation.ts";
import { ratioLine } from "../stats/index.ts";
import { type Bounds, boundsOf, inTurn, type RollupState, rollupState, type Window } from "./asked.ts";
import { type Known, makeCover, makeDraws, makePieces, makeStretches } from "./build.ts";

const machinesQuestion = question(import.meta.url, "./machines.sql");
const readingsQuestion = question(import.meta.url, "./readings.sql");
const readingHours = question(import.meta.url, "./reading-hours.sql");
const readingHoursMade = question(import.meta.url, "./reading-hours-made.sql");
const motorWeeks = question(import.meta.url, "./motor-weeks.sql");
const motorWeeksStored = question(import.meta.url, "./motor-weeks-stored.sql");
const coverQuestion = question(import.meta.url, "./cover-made.sql");

/** Something that only a person who was there can tell. */
export interface FactorQuestion {
  machine: string;
  /** Of the reading in question. */
  readAt: string;
  text: string;
}

/** What least squares through the origin would say of the same pairs. */
export interface LeastSquares {
  slope: number;
  slopeSe: number | null;
}

export interface RunFactor {
  machine: string;
  source: "motor" | "meter" | "typed" | "fixed" | "driven" | "always-on" | "assumed";
  /** Run-hours per enabled hour; low and high are its 10 and 90 % points (of typed ones, of the triangle between its ends). */
  factor: Range;
  /** Of an uneven typed range the mean, which sums go by; else the best. */
  mean?: number;
  /** Pairs of enabled and run-hours it was learned from, and their sums; 0 where it was not. */
  pairs: number;
  enabledHours: number;
  runHours: number;
  /** Squared distance, in hours², from the best to the 90 % point by the luck of one enabled hour; grows with the hours. */
  scatter: number;
  leastSquares: LeastSquares | null;
  why: string;
  /** Loud: something that should be put right. */
  note: string | null;
  questions: FactorQuestion[];
}

/** Run-hours of a machine that has only a meter, by stretches of time. */
export interface MeterRate {
  machine: string;
  from: string;
  until: string;
  rate: number;
  variance: number;
  rateVariance: number;
  closed: boolean;
}

interface MachineRow {
  machine: string;
  kind: "stations" | "driven" | "always-on" | "meter";
  low: number | null;
  best: number | null;
  high: number | null;
  fixed: boolean;
}

interface Reading {
  machine: string;
  read_at: string;
  hours: number;
  next_at: string | null;
  enabled_hours: number | null;
}

interface MotorSums {
  machine: string;
  weeks: number;
  enabled_hours: number;
  run_hours: number;
  run_squares: number;
  products: number;
  squares: number;
}

// Where there is little to learn the scatter from, sessions of half an hour whose share of running time varies by a third of
// itself (work does by a fifth; the rest is badges left in now and then) stand in for as much as so many pairs would tell.
const PRIOR_PAIRS = 2;
const PRIOR_VARIANCE = 0.35 ** 2 * 0.5;
const NORMAL_90 = 1.2815515655446004;
/** A residual beyond so many robust standard deviations is a slip of the reading, not luck of the machine. */
const SLIP = 3;
/** Median absolute deviation to standard deviation of a normal. */
const MAD_TO_SD = 1.482602218505602;

interface Sums {
  n: number;
  x: number;
  y: number;
  /** Sum of squared residuals about the ratio, each over its x. */
  residual: number;
  /** Variance of the error of one reading; 0 where there are no readings. */
  readingVariance: number;
  xy: number;
  xx: number;
}

/**
 * The ratio of sums, its 10 and 90 % points and the scatter of single spans about it. Between two readings the run-hours scatter
 * about the factor with a variance that grows with the enabled hours (sessions are many and each has its own luck), for which
 * the ratio of sums is the estimator of least variance (Cochran, Sampling Techniques, 3rd ed. 1977, section 6.7; from memory);
 * least squares through the origin would be it if all spans scattered alike, however long.
 */
function factorFromSums({ n, x, y, residual, readingVariance }: Sums, priorVariance = PRIOR_VARIANCE) {
  const best = y / x;
  const df = PRIOR_PAIRS + n - 1;
  const variance = (PRIOR_PAIRS * priorVariance * best ** 2 + residual) / df;
  const t = tQuantile(0.9, df);
  // Errors of the readings between cancel: one span's gain is the next one's loss.
  const factorVariance = variance / x + (2 * readingVariance) / x ** 2;
  const reach = t * Math.sqrt(factorVariance);
  return {
    factor: { low: Math.max(0, best - reach), best, high: best + reach },
    scatter: t ** 2 * variance,
    variance,
    factorVariance,
  };
}

/**
 * Sums of pairs of enabled and run-hours between readings, in order; `follows` says that a pair begins with the reading that ended
 * the one before. An error in one reading makes one span too long and the next too short by as much, so that neighbours'
 * residuals tell it from the luck of the sessions: its variance is minus their mean product. Slips of a reading count as three
 * robust standard deviations at most.
 */
function sumsFromPairs(pairs: readonly { x: number; y: number; follows: boolean }[]): Sums & { slips: number[] } {
  const sums = { n: pairs.length, x: 0, y: 0, residual: 0, readingVariance: 0, xy: 0, xx: 0, slips: [] as number[] };
  for (const { x, y } of pairs) {
    sums.x += x;
    sums.y += y;
    sums.xy += x * y;
    sums.xx += x * x;
  }
  if (sums.n < 2) return sums;
  const ratio = sums.y / sums.x;
  const scaled = pairs.map(({ x, y }) => (y - ratio * x) / Math.sqrt(x));
  const most = sums.n < 5 ? Number.POSITIVE_INFINITY : SLIP * MAD_TO_SD * median(scaled.map(Math.abs));
  const tame = scaled.map((one, i) => {
    if (most > 0 && Math.abs(one) > most) sums.slips.push(i);
    return most > 0 ? Math.max(-most, Math.min(most, one)) : one;
  });
  const products = tame.flatMap((one, i) =>
    i > 0 && pairs[i]!.follows ? [one * Math.sqrt(pairs[i]!.x) * tame[i - 1]! * Math.sqrt(pairs[i - 1]!.x)] : [],
  );
  if (products.length >= 4) {
    sums.readingVariance = Math.max(0, -products.reduce((sum, one) => sum + one, 0) / products.length);
  }
  const perHour = pairs.reduce((sum, { x }) => sum + 1 / x, 0) / sums.n;
  const whole = tame.reduce((sum, one) => sum + one * one, 0);
  sums.residual = Math.max(0, whole - (sums.n - 1) * 2 * sums.readingVariance * perHour);
  return sums;
}

/** Scatter of one enabled hour where nothing was measured: the prior alone. */
const priorScatter = (factor: number): number => (NORMAL_90 * factor) ** 2 * PRIOR_VARIANCE;

/**
 * What was typed as least, likeliest and most is taken for a triangle between them: the 10 and 90 % points and the mean
 * of it.
 */
function triangle({ low, best, high }: Range): { low: number; mean: number; high: number } {
  const width = high - low;
  if (width <= 0) return { low: best, mean: best, high: best };
  const point = (p: number): number =>
    p * width <= best - low ? low + Math.sqrt(p * width * (best - low)) : high - Math.sqrt((1 - p) * width * (high - best));
  return { low: point(0.1), mean: (low + best + high) / 3, high: point(0.9) };
}

/** Which intervals between readings can be believed, and what to ask about the others. */
function judgeReadings(readings: readonly Reading[]): { good: { reading: Reading; run: number }[]; questions: FactorQuestion[] } {
  const questions: FactorQuestion[] = [];
  const bad = new Set<number>();
  for (let i = 0; i + 1 < readings.length; i++) {
    const here = readings[i]!;
    const next = readings[i + 1]!;
    const clockHours = (Date.parse(isoText(next.read_at)) - Date.parse(isoText(here.read_at))) / 3_600_000;
    if (next.hours < here.hours) {
      bad.add(i);
      const before = readings[i - 1];
      const after = readings[i + 2];
      // A reading that was too high falls back to the line of the others; one that was too low leaps back to it.
      if (before && next.hours >= before.hours) bad.add(i - 1);
      if (after && after.hours >= here.hours) bad.add(i + 1);
      questions.push({
        machine: here.machine,
        readAt: isoText(next.read_at),
        text: `the hour meter of ${here.machine} fell from ${here.hours} h (${isoText(here.read_at)}) to ${next.hours} h (${isoText(next.read_at)}): a new meter, a meter that began again at 0, or a misreading? Until that is known the hours on either side of it that may be wrong are left out`,
      });
    } else if (next.hours - here.hours > clockHours + 0.1) {
      bad.add(i);
      questions.push({
        machine: here.machine,
        readAt: isoText(next.read_at),
        text: `the hour meter of ${here.machine} rose by ${round(next.hours - here.hours)} h within ${round(clockHours)} h of time (${isoText(here.read_at)} to ${isoText(next.read_at)}): a misreading, or another meter? That stretch is left out`,
      });
    }
  }
  return {
    good: readings.flatMap((reading, i) => {
      const next = readings[i + 1];
      return next && !bad.has(i) ? [{ reading, run: next.hours - reading.hours }] : [];
    }),
    questions,
  };
}

const round = (hours: number): number => Math.round(hours * 10) / 10;
export const isoText = (text: string): string => isoFromDate(new Date(text.replace(" ", "T").replace(/([+-]\d\d)$/, "$1:00")));

export interface Factors {
  factors: RunFactor[];
  rates: MeterRate[];
}

/** The factors, on a connection whose turn it is; makes hours_cover, which the answer goes on with. */
export async function learnFactors(
  connection: DuckDBConnection,
  asked: { machine: string | null; asOf: Date; zone: string },
  state: RollupState | null,
  bounds: Bounds,
): Promise<Factors> {
  const known: Known = { machine: asked.machine, asOf: asked.asOf.toISOString(), logFrom: bounds.log_from, zone: asked.zone };
  const machines = await ask<MachineRow>(connection, machinesQuestion, { machine: asked.machine });
  const readings = await ask<Reading>(connection, readingsQuestion, {
    machine: asked.machine,
    as_of: asked.asOf,
    stored: state !== null,
  });
  const kinds = new Map(machines.map((row) => [row.machine, row.kind]));
  for (const machine of new Set(readings.map((row) => row.machine))) {
    const missing = readings.filter((row) => row.machine === machine && row.next_at !== null && row.enabled_hours === null);
    if (missing.length === 0 || kinds.get(machine) === "meter" || !kinds.has(machine)) continue;
    const hours = await hoursBetween(
      connection,
      missing.map((row) => ({ from: row.read_at, until: row.next_at! })),
      { ...known, machine },
    );
    for (const row of missing) row.enabled_hours = hours.get(row.read_at) ?? 0;
  }
  await makeCover(connection, known, state !== null);
  const motor = await motorSums(connection, known, state);
  return {
    factors: machines
      .filter(({ kind }) => kind !== "meter")
      .map((row) =>
        factorOf(
          row,
          readings.filter(({ machine }) => machine === row.machine),
          motor.get(row.machine),
        ),
      ),
    rates: machines
      .filter(({ kind }) => kind === "meter")
      .flatMap((row) =>
        meterRates(
          readings.filter(({ machine }) => machine === row.machine),
          known.asOf,
        ),
      ),
  };
}

/** Enabled hours of one machine within each interval, by the interval's start. */
export async function hoursBetween(
  connection: DuckDBConnection,
  intervals: readonly Window[],
  known: Known & { machine: string },
): Promise<Map<string, number>> {
  await makeStretches(connection, [{ from: intervals[0]!.from, until: intervals.at(-1)!.until }], known, "enabled");
  await perform(connection, readingHours, { intervals: JSON.stringify(intervals), machine: known.machine });
  const rows = await ask<{ from_at: string; enabled_hours: number }>(connection, readingHoursMade);
  return new Map(rows.map((row) => [row.from_at, row.enabled_hours]));
}

async function motorSums(connection: DuckDBConnection, known: Known, state: RollupState | null): Promise<Map<string, MotorSums>> {
  const [cover] = await ask<{ machines: number }>(connection, coverQuestion);
  if (cover!.machines === 0) return new Map();
  if (state !== null) {
    const rows = await ask<MotorSums>(connection, motorWeeksStored, {
      as_of: known.asOf,
      zone: known.zone,
      machine: known.machine,
    });
    return new Map(rows.map((row) => [row.machine, row]));
  }
  await makePieces(connection, [{ from: known.logFrom, until: known.asOf }], known, "day");
  await makeDraws(connection, known, "day");
  const rows = await ask<MotorSums>(connection, motorWeeks, { as_of: known.asOf, zone: known.zone });
  return new Map(rows.map((row) => [row.machine, row]));
}

const pairsInOrder = (
  pairs: readonly { reading: Reading; run: number }[],
  hoursOf: (pair: { reading: Reading; run: number }) => number,
): { x: number; y: number; follows: boolean }[] =>
  pairs.map((pair, i) => ({
    x: hoursOf(pair),
    y: pair.run,
    follows: i > 0 && pairs[i - 1]!.reading.next_at === pair.reading.read_at,
  }));

function factorOf(row: MachineRow, readings: readonly Reading[], motor: MotorSums | undefined): RunFactor {
  const { machine } = row;
  const nothing = { machine, pairs: 0, enabledHours: 0, runHours: 0, leastSquares: null, note: null };
  const typed = row.best === null ? null : { low: row.low ?? row.best * 0.8, best: row.best, high: row.high ?? row.best * 1.2 };
  const points = typed && triangle(typed);
  const likely = points && { factor: { low: points.low, best: typed.best, high: points.high }, mean: points.mean };
  const { good, questions } = judgeReadings(readings);
  if (typed && likely && row.fixed) {
    return { ...nothing, source: "fixed", ...likely, scatter: 0, why: "typed and fixed in the workshop file", questions };
  }
  if (motor && motor.enabled_hours > 0 && motor.run_hours > 0) {
    const sums = sumsFromMotor(motor);
    const { factor, scatter } = factorFromSums(sums);
    return {
      ...nothing,
      source: "motor",
      factor,
      scatter,
      pairs: sums.n,
      enabledHours: sums.x,
      runHours: sums.y,
      leastSquares: { slope: sums.xy / sums.xx, slopeSe: null },
      why: `a current sensor saw ${round(sums.y)} h of running in ${round(sums.x)} enabled hours of ${sums.n} weeks; where it was at work its own hours count, elsewhere this ratio. The ratio of sums is used, not the slope of least squares through the origin, since long weeks scatter more than short ones`,
      questions,
    };
  }
  const pairs = good.filter(({ reading, run }) => (reading.enabled_hours ?? 0) > 0 && run >= 0);
  for (const { reading, run } of good) {
    if ((reading.enabled_hours ?? 0) === 0 && run > 0.1) {
      questions.push({
        machine,
        readAt: isoText(reading.next_at!),
        text: `the hour meter of ${machine} rose by ${round(run)} h to ${isoText(reading.next_at!)} though the log has no session then: which of the two is right? That stretch is left out`,
      });
    }
  }
  const sums = sumsFromPairs(pairsInOrder(pairs, ({ reading }) => reading.enabled_hours!));
  if (sums.n > 0 && sums.y > 0) {
    const line = ratioLine({ x: pairs.map(({ reading }) => reading.enabled_hours!), y: pairs.map(({ run }) => run) });
    const { factor, scatter } = factorFromSums(sums);
    for (const i of sums.slips) {
      const { reading, run } = pairs[i]!;
      questions.push({
        machine,
        readAt: isoText(reading.next_at!),
        text: `the hour meter of ${machine} rose by ${round(run)} h from ${isoText(reading.read_at)} to ${isoText(reading.next_at!)}, where ${round(reading.enabled_hours! * factor.best)} h would be usual: is one of the two readings wrong?`,
      });
    }
    return {
      ...nothing,
      source: "meter",
      factor,
      scatter,
      pairs: sums.n,
      enabledHours: sums.x,
      runHours: sums.y,
      leastSquares: isInsufficient(line) ? null : { slope: line.slope, slopeSe: line.slopeSe },
      why: `the hour meter ran ${round(sums.y)} h in ${round(sums.x)} enabled hours between readings (${sums.n} ${sums.n === 1 ? "pair" : "pairs"}). The ratio of sums is used, not the slope of least squares through the origin, since long spans scatter more than short ones`,
      note:
        factor.best > 1
          ? "the meter runs faster than the enabled hours: sessions are missing, or the meter counts something else"
          : null,
      questions,
    };
  }
  if (typed && likely) {
    return {
      ...nothing,
      source: "typed",
      ...likely,
      scatter: priorScatter(typed.best),
      why: "typed in the workshop file; neither motor events nor two readings tell more",
      questions,
    };
  }
  const one = { low: 1, best: 1, high: 1 };
  if (row.kind === "driven") {
    return {
      ...nothing,
      source: "driven",
      factor: one,
      scatter: 0,
      why: "it turns whenever one of its drivers is enabled",
      questions,
    };
  }
  if (row.kind === "always-on") {
    return { ...nothing, source: "always-on", factor: one, scatter: 0, why: "it is always on", questions };
  }
  return {
    ...nothing,
    source: "assumed",
    factor: one,
    scatter: 0,
    why: "nothing is known of how much of the enabled time the motor turns",
    note: "run-hours are taken as enabled hours, which is surely too much: type a run_factor, or read the hour meter twice",
    questions,
  };
}

const sumsFromMotor = (m: MotorSums): Sums => ({
  n: m.weeks,
  x: m.enabled_hours,
  y: m.run_hours,
  residual: Math.max(0, m.run_squares - m.run_hours ** 2 / m.enabled_hours),
  readingVariance: 0,
  xy: m.products,
  xx: m.squares,
});

/** Even rates between good readings; beyond the last one the mean rate. A machine of one reading has no known hours. */
function meterRates(readings: readonly Reading[], asOf: string): MeterRate[] {
  const { good } = judgeReadings(readings);
  const spans = good.map(({ reading, run }) => ({
    reading,
    from: reading.read_at,
    until: reading.next_at!,
    hours: (Date.parse(isoText(reading.next_at!)) - Date.parse(isoText(reading.read_at))) / 3_600_000,
    run,
  }));
  const sums = sumsFromPairs(
    spans.map(({ hours, run, reading }, i) => ({ x: hours, y: run, follows: i > 0 && spans[i - 1]!.until === reading.read_at })),
  );
  if (sums.n === 0) return [];
  const mean = sums.y / sums.x;
  // Before there is much to learn from, a week is taken to differ from the mean by a fifth of it.
  const { variance, factorVariance } = factorFromSums(sums, 0.2 ** 2 * 168);
  const machine = readings[0]!.machine;
  const rates = spans.map(({ from, until, hours, run }) => ({
    machine,
    from,
    until,
    rate: run / hours,
    variance,
    rateVariance: 0,
    closed: true,
  }));
  const gaps = readings.slice(0, -1).filter((reading) => !good.some((span) => span.reading === reading));
  const open = [
    ...gaps.map((reading) => ({ from: reading.read_at, until: reading.next_at! })),
    { from: readings.at(-1)!.read_at, until: asOf },
  ];
  return [
    ...rates,
    ...open.map((span) => ({ machine, ...span, rate: mean, variance, rateVariance: factorVariance, closed: false })),
  ];
}

/**
 * Which run factor each machine has, from what, and what is asked of those who know: one row for each machine of the workshop
 * file but those known by their meter alone, in its order.
 */
export async function runFactors(
  connection: DuckDBConnection,
  { machine, asOf, zone }: { machine?: string | undefined; asOf: Date; zone: string },
): Promise<{ factors: RunFactor[]; questions: FactorQuestion[] }> {
  return inTurn(connection, async () => {
    const state = await rollupState(connection, zone);
    const bounds = await boundsOf(connection, { asOf, zone }, state);
    const { factors } = await learnFactors(connection, { machine: machine ?? null, asOf, zone }, state, bounds);
    const metered = await ask<Reading>(connection, readingsQuestion, { machine: machine ?? null, as_of: asOf, stored: false });
    const others = [...new Set(metered.map((row) => row.machine))].filter((id) => !factors.some((row) => row.machine === id));
    return {
      factors,
      questions: [
        ...factors.flatMap(({ questions }) => questions),
        ...others.flatMap((id) => judgeReadings(metered.filter((row) => row.machine === id)).questions),
      ],
    };
  });
}
