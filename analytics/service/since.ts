// How much a machine was used since an instant, in every unit a task may be counted in.
import type { DuckDBConnection } from "@duckdb/node-api";
import { quantileSorted } from "simple-statistics";
import { ask, question } from "../../shared/question.ts";
import { type Bounds, boundsOf, inTurn, type RollupState, rollupState } from "../hours/asked.ts";
import { type Factors, learnFactors, type MeterRate, type RunFactor } from "../hours/factors.ts";
import { exactly, type Figure, figureOf, NORMAL_90, runFigure } from "./figures.ts";
import { instantMs, type Measure, type PointSums, sumsSince, type Wanted } from "./sums.ts";
import type { UseBasis } from "./tasks.ts";

const coveredQuestion = question(import.meta.url, "./covered.sql");
const kindsQuestion = question(import.meta.url, "./kinds.sql");

export interface Point {
  machine: string;
  from: Date;
  /** Whether days of use are wanted, which take longer than the rest. */
  isByUseDays?: boolean | undefined;
}

export interface UseAsked {
  asOf: Date;
  /** IANA name of the workshop's time zone. */
  zone: string;
  /** false: from the sessions alone, whatever the roll-ups say. */
  rollups?: boolean | undefined;
}

/** How the store stands at an as-of time, which several answers go by. */
export interface Moment {
  state: RollupState | null;
  bounds: Bounds;
  learned: Factors;
}

/** Use since a point, by basis; a basis that the machine can't be counted in is left out. */
export type Use = Partial<Record<UseBasis, Figure>>;

/** What run-hours are made of: hours that motor events measured, and enabled hours that the run factor applies to. */
export interface RunParts {
  motor: Figure;
  factored: Figure;
  factor: RunFactor | undefined;
}

export interface UseSince {
  asOf: Date;
  /** What else is worked out from the same moment. */
  moment: Moment;
  /** When each machine's use begins to be known: the log's first event, or a meter's first reading. */
  knownFrom(machine: string): Date;
  /** Of a point before that, what the record holds and, where it is long enough, the time before at the same pace. */
  since(machine: string, from: Date): Use;
  /** Since the log began. */
  sinceStart(machine: string): Use;
  /** What the run-hours since an instant (null: since the log began) are made of; null for a machine known by its meter alone. */
  runParts(machine: string, from: Date | null): RunParts | null;
}

// A log shorter than this says too little of the time before it.
const SHORTEST_LOG_DAYS = 14;
const DAY = 86_400_000;

/** Works out the use of machines since many points at once. Points after `asOf` count as `asOf`. */
export async function useSince(
  connection: DuckDBConnection,
  { asOf, zone, rollups = true }: UseAsked,
  points: readonly Point[],
): Promise<UseSince> {
  return inTurn(connection, async () => {
    const state = rollups ? await rollupState(connection, zone) : null;
    const bounds = await boundsOf(connection, { asOf, zone }, state);
    const { factors, rates } = await learnFactors(connection, { machine: null, asOf, zone }, state, bounds);
    const logFrom = instantOf(bounds.log_from);
    const kinds = new Map(
      (await ask<{ machine: string; kind: string }>(connection, kindsQuestion)).map((row) => [row.machine, row.kind]),
    );
    const knownFrom = (machine: string): Date => {
      const first = rates.find((rate) => rate.machine === machine);
      return kinds.get(machine) === "meter" && first ? instantOf(first.from) : logFrom;
    };

    const wanted = new Map<string, Wanted>();
    const want = (machine: string, from: Date, isByUseDays: boolean): void => {
      const key = pointKey(machine, from);
      const known = wanted.get(key);
      if (known === undefined) wanted.set(key, { point: wanted.size, machine, from, isByUseDays });
      else known.isByUseDays ||= isByUseDays;
    };
    for (const { machine, from, isByUseDays = false } of points) {
      want(machine, clamp(from, asOf), isByUseDays);
      want(machine, clamp(knownFrom(machine), asOf), isByUseDays);
    }
    const all = [...wanted.values()];
    const known = { machine: null, asOf: asOf.toISOString(), logFrom: bounds.log_from, zone };
    const sums = await sumsSince(connection, all, { known, state, bounds, asOf });
    const covered = new Set((await ask<{ machine: string }>(connection, coveredQuestion)).map(({ machine }) => machine));
    const factorOf = new Map(factors.map((factor) => [factor.machine, factor]));

    const drawnIn =
      (machine: string, row: PointSums) =>
      (measure: Measure): readonly number[] | undefined =>
        row.draws.get(measure === "factored" && !covered.has(machine) ? "enabled" : measure);
    const told = new Map<string, Use>();
    const seen = (machine: string, from: Date): Use => {
      const key = pointKey(machine, from);
      const use = told.get(key) ?? useAt(machine, key, from);
      told.set(key, use);
      return use;
    };
    const useAt = (machine: string, key: string, from: Date): Use => {
      const point = wanted.get(key)!;
      const row = sums.get(point.point)!;
      const of = drawnIn(machine, row);
      const metered = meteredHours(
        rates.filter((rate) => rate.machine === machine),
        from,
        asOf,
      );
      const use = useOf(kinds.get(machine) ?? "stations", row, of, factorOf.get(machine), { hours: metered });
      if (!point.isByUseDays) delete use["use-days"];
      return use;
    };
    const since = (machine: string, from: Date): Use => {
      const point = clamp(from, asOf);
      const begins = clamp(knownFrom(machine), asOf);
      const own = seen(machine, point);
      // What is dated on the log's first day began with it.
      if (begins.getTime() - point.getTime() < DAY) return own;
      const daysKnown = (asOf.getTime() - begins.getTime()) / DAY;
      const daysBefore = (begins.getTime() - point.getTime()) / DAY;
      const whole = seen(machine, begins);
      return Object.fromEntries(
        Object.entries(own).map(([basis, figure]) => {
          if (basis === "days") return [basis, figure];
          const known = whole[basis as UseBasis] ?? figure;
          return [basis, daysKnown < SHORTEST_LOG_DAYS ? atLeast(known) : withPace(known, daysBefore / daysKnown)];
        }),
      );
    };
    const partsSeen = (machine: string, from: Date): RunParts => {
      const row = sums.get(wanted.get(pointKey(machine, from))!.point)!;
      const of = drawnIn(machine, row);
      return {
        motor: withDraws(row.motorHours, of("motor")),
        factored: withDraws(row.factoredHours, of("factored")),
        factor: factorOf.get(machine),
      };
    };
    const runParts = (machine: string, from: Date | null): RunParts | null => {
      if (kinds.get(machine) === "meter") return null;
      const begins = clamp(knownFrom(machine), asOf);
      const point = from === null ? begins : clamp(from, asOf);
      const own = partsSeen(machine, point);
      if (begins.getTime() - point.getTime() < DAY) return own;
      const daysKnown = (asOf.getTime() - begins.getTime()) / DAY;
      const times = (begins.getTime() - point.getTime()) / DAY / daysKnown;
      const whole = partsSeen(machine, begins);
      if (daysKnown < SHORTEST_LOG_DAYS) return { ...own, motor: atLeast(whole.motor), factored: atLeast(whole.factored) };
      return { ...own, motor: withPace(whole.motor, times), factored: withPace(whole.factored, times) };
    };
    return {
      asOf,
      moment: { state, bounds, learned: { factors, rates } },
      knownFrom,
      since,
      sinceStart: (machine) => seen(machine, clamp(knownFrom(machine), asOf)),
      runParts,
    };
  });
}

const clamp = (from: Date, asOf: Date): Date => (from > asOf ? asOf : from);
const pointKey = (machine: string, from: Date): string => `${from.getTime()} ${machine}`;
const instantOf = (text: string): Date => new Date(instantMs(text));

// The pace of a time nobody saw is taken to lie within these shares of the pace seen, eight times in ten.
const PACE = { low: 0.65, high: 1.5 };

/** A figure of the time seen and, before it, of so many times as long at the same pace. */
function withPace(known: Figure, times: number): Figure {
  const before = figureOf({ low: known.best * times * PACE.low, best: known.best * times, high: known.best * times * PACE.high });
  return {
    best: known.best + before.best,
    below: Math.hypot(known.below, before.below),
    above: Math.hypot(known.above, before.above),
  };
}

const atLeast = (known: Figure): Figure => ({ ...known, above: Number.POSITIVE_INFINITY });

function useOf(
  kind: string,
  row: PointSums,
  drawn: (measure: Measure) => readonly number[] | undefined,
  factor: RunFactor | undefined,
  { hours }: { hours: Figure | null },
): Use {
  const days = exactly(Math.max(0, row.days));
  if (kind === "meter") return { days, ...(hours === null ? {} : { hours }) };
  const figure = (known: number, measure: Measure): Figure => withDraws(known, drawn(measure));
  return {
    days,
    hours: runFigure(figure(row.motorHours, "motor"), figure(row.factoredHours, "factored"), factor),
    starts: exactly(row.starts),
    "use-days": kind === "always-on" ? days : exactly(row.useDays),
    ...(kind === "stations" ? { cycles: exactly(row.sessions) } : { cycles: exactly(row.starts) }),
    ...(kind === "driven" ? { "load-hours": figure(row.loadHours, "load") } : {}),
  };
}

const spreads = new WeakMap<readonly number[], { mean: number; low: number; high: number }>();

/** Mean, 10 and 90 % points of draws; each list is sorted once. */
function spreadOf(draws: readonly number[]): { mean: number; low: number; high: number } {
  let known = spreads.get(draws);
  if (known === undefined) {
    const sorted = [...draws].sort((a, b) => a - b);
    const mean = sorted.reduce((sum, hours) => sum + hours, 0) / sorted.length;
    known = { mean, low: quantileSorted(sorted, 0.1), high: quantileSorted(sorted, 0.9) };
    spreads.set(draws, known);
  }
  return known;
}

/** What is known, and what unseen ends add to it in each joint world. */
function withDraws(known: number, extra: readonly number[] | undefined): Figure {
  if (extra === undefined) return exactly(known);
  const { mean, low, high } = spreadOf(extra);
  return figureOf({ low: known + low, best: known + mean, high: known + high });
}

/** Run-hours by the meter alone since an instant: spread evenly between readings, beyond the last one at the mean rate. */
function meteredHours(rates: readonly MeterRate[], from: Date, until: Date): Figure | null {
  if (rates.length === 0) return null;
  let best = 0;
  let variance = 0;
  for (const rate of rates) {
    const [begin, end] = [instantOf(rate.from).getTime(), instantOf(rate.until).getTime()];
    const hours = (Math.min(end, until.getTime()) - Math.max(begin, from.getTime())) / 3_600_000;
    if (hours <= 0) continue;
    best += rate.rate * hours;
    variance += rate.closed
      ? rate.variance * hours * Math.max(0, 1 - hours / ((end - begin) / 3_600_000))
      : rate.variance * hours + rate.rateVariance * hours ** 2;
  }
  const reach = NORMAL_90 * Math.sqrt(variance);
  return { best, below: Math.min(best, reach), above: reach };
}
