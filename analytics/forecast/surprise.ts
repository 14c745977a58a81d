// How surprising a sum of use was to the forecast made before it, and how much wider forecasts should have been so that four in five
// hold: split conformal prediction over rolling origins, pooled over machines (Gibbs and Candès, Adaptive conformal inference under
// distribution shift, NeurIPS 2021, and Angelopoulos and Bates, arXiv 2107.07511, section 1 for the finite-sample quantile).
import normalCdf from "@stdlib/stats-base-dists-normal-cdf";
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";
import type { Widening } from "./crossing.ts";
import type { Course } from "./fit.ts";

/** Days ahead at which forecasts are held against what came. */
export const CHECKED_DAYS = [7, 14, 28, 56, 84, 126, 182] as const;

/** A forecast of so many days ahead, made on day `origin`, and how it came out. */
export interface Surprise {
  machine: string;
  origin: number;
  daysAhead: number;
  /** The normal figure of the share of worlds that had less: beyond 1.28 either way one time in five, where all is well. */
  z: number;
}

const LEVELS = Float64Array.from({ length: 40 }, (_, i) => normalQuantile((i + 0.5) / 40, 0, 1));
/** Nothing is taken for stranger than this. */
const MOST = 6;

/** Null where next to nothing was expected: there is no telling then. */
export function surpriseOf({ expected, levelSd, fano }: Course, day: number, came: number): number | null {
  const mean = expected[day]!;
  if (mean <= 0 || fano <= 0 || mean / fano < 1) return null;
  let share = 0;
  for (const level of LEVELS) {
    const spread = levelSd[day]!;
    const ofLevel = mean * Math.exp(spread * level - (spread * spread) / 2);
    const shape = ofLevel / fano;
    share += normalCdf(3 * Math.sqrt(shape) * (Math.cbrt(came / ofLevel) - 1 + 1 / (9 * shape)), 0, 1) / LEVELS.length;
  }
  return Math.max(-MOST, Math.min(MOST, normalQuantile(Math.min(1, share), 0, 1)));
}

/** How much wider forecasts of so many days ahead should have been, over all machines, and from how many. */
export interface Width {
  daysAhead: number;
  windows: number;
  factor: number;
}

/** How much wider those of one machine should have been than those of all. */
export interface OwnWidth {
  machine: string;
  windows: number;
  factor: number;
}

export interface Widths {
  all: Width[];
  own: OwnWidth[];
}

export const noWidths: Widths = { all: [], own: [] };

const COVERAGE = 0.8;
const HALF = normalQuantile(0.5 + COVERAGE / 2, 0, 1);
/** Origins overlap and machines go together: so many surprises tell as much as one alone, and so many of those weigh as the model. */
const ALIKE = 4;
const PRIOR = 10;
/** The times ahead by which machines are compared, and how many of their surprises weigh as much as what all machines show. */
const OWN_DAYS: readonly number[] = [14, 28, 56];
const OWN_PRIOR = 18;
const OWN_MOST = 3;

/** Widths from the surprises whose days were over by day `until`. Without any the model's own width, 1, holds. */
export function widthsFrom(surprises: readonly Surprise[], until: number): Widths {
  const over = surprises.filter(({ origin, daysAhead }) => origin + daysAhead <= until);
  const all = CHECKED_DAYS.map((daysAhead): Width => {
    const sizes = over
      .filter((one) => one.daysAhead === daysAhead)
      .map(({ z }) => Math.abs(z))
      .sort((a, b) => a - b);
    const n = sizes.length;
    if (n === 0) return { daysAhead, windows: 0, factor: 1 };
    const place = Math.min(n - 1, Math.ceil(COVERAGE * (n + 1)) - 1);
    const weight = n / ALIKE / (n / ALIKE + PRIOR);
    const ratio = Math.max(0.3, Math.min(4, sizes[place]! / HALF));
    return { daysAhead, windows: n, factor: Math.exp(weight * Math.log(ratio)) };
  });
  return { all, own: ownWidths(over, all) };
}

function ownWidths(over: readonly Surprise[], all: readonly Width[]): OwnWidth[] {
  const factors = new Map(all.map(({ daysAhead, factor }) => [daysAhead, factor]));
  const sums = new Map<string, { size: number; windows: number }>();
  const total = { size: 0, windows: 0 };
  for (const { machine, daysAhead, z } of over) {
    if (!OWN_DAYS.includes(daysAhead)) continue;
    const size = Math.min(OWN_MOST, Math.abs(z) / factors.get(daysAhead)!);
    const own = sums.get(machine) ?? { size: 0, windows: 0 };
    for (const sum of [own, total]) {
      sum.size += size;
      sum.windows += 1;
    }
    sums.set(machine, own);
  }
  const mean = total.size / total.windows;
  return [...sums].map(([machine, { size, windows }]) => ({
    machine,
    windows,
    factor: (size + OWN_PRIOR * mean) / ((windows + OWN_PRIOR) * mean),
  }));
}

/** The factor of a machine by days ahead, in between in a straight line over the logarithm of the days. */
export function wideningFrom({ all, own }: Widths, machine: string): Widening {
  const mine = own.find((width) => width.machine === machine)?.factor ?? 1;
  const known = all.filter(({ windows }) => windows > 0);
  const first = known[0];
  const last = known.at(-1);
  if (first === undefined || last === undefined) return () => mine;
  return (daysAhead) => {
    if (daysAhead <= first.daysAhead) return first.factor * mine;
    if (daysAhead >= last.daysAhead) return last.factor * mine;
    const after = known.findIndex((width) => width.daysAhead >= daysAhead);
    const [a, b] = [known[after - 1]!, known[after]!];
    const share = Math.log(daysAhead / a.daysAhead) / Math.log(b.daysAhead / a.daysAhead);
    return a.factor * (b.factor / a.factor) ** share * mine;
  };
}
