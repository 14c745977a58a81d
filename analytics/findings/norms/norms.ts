// How long sessions on each machine usually are, on a log scale, and how rarely one is as long as that.
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";
import { median as medianOf, quantileSorted } from "simple-statistics";
import { isInsufficient } from "../../../shared/errors.ts";
import { type Calibration, calibrationThrough } from "../../stats/calibration.ts";
import { tUpper } from "../../stats/count-tails.ts";
import { adjustedFences } from "../../stats/outliers.ts";

/** Lengths of one machine's seen sessions: ascending seconds of equal weight, standing for `sessions` of them. */
export interface Sample {
  machine: string;
  group: string;
  sessions: number;
  lengths: readonly number[];
}

/** A machine's own norm. `centre` and `spread` are of the natural logarithm of seconds. */
export interface Norm {
  machine: string;
  sessions: number;
  centre: number;
  /** Spread of the upper half. */
  spread: number;
  /** Degrees of freedom that the spread is known by. */
  df: number;
  /** What a new value scatters by: the spread and how well the centre is known. */
  scale: number;
  medianSeconds: number;
  /** Ascending natural logarithms of the seconds it rests on. */
  logs: readonly number[];
  /** Share of what the norm rests on that comes from other machines. */
  borrowed: number;
}

/** How many sessions the belief in the spread of like machines is worth, and how far centres of like machines lie apart. */
const SPREAD_WORTH = 20;
const CENTRES_APART = 0.5;
/** Machines with as many sessions say what spread is usual. */
const ENOUGH = 30;
/** A usual spread where no machine has enough: half of the sessions between two thirds and one and a half times the median. */
const USUAL_SPREAD = 0.6;
/** A line through so many of 512 quantiles is as good as that many independent values, compared with the standard deviation. */
const EFFICIENCY = 0.6;
const UPPER_SHARE = 0.975;
const MOST_FOR_FENCES = 512;

/**
 * The norm of every machine with a session. Centre: the median. Spread: the slope of the line from the median through the values
 * of the upper half against those of a normal distribution, the top fortieth left out, so that neither the lower half nor the
 * outliers sought have a say. Few sessions borrow both from machines of the group, else from all, weighted by how much each knows
 * (a normal-inverse-gamma belief); what is then not known shows in `scale` and `df`.
 */
export function normsOf(samples: readonly Sample[]): Map<string, Norm> {
  const own = samples
    .filter(({ lengths }) => lengths.length > 0)
    .map((sample) => {
      const logs = sample.lengths.map((seconds) => Math.log(Math.max(seconds, 1)));
      return { ...sample, logs, median: quantileSorted(logs, 0.5), spread: upperSpread(logs) };
    });
  const trusted = own.filter(({ sessions, spread }) => sessions >= ENOUGH && spread !== null);
  const spreadOf = (list: typeof own) => (list.length === 0 ? null : medianOf(list.map(({ spread }) => spread!)));
  const shopSpread = spreadOf(trusted) ?? USUAL_SPREAD;
  const norms = new Map<string, Norm>();
  for (const item of own) {
    const like = own.filter(({ machine, group }) => group === item.group && machine !== item.machine);
    const others = like.length > 0 ? like : own.filter(({ machine }) => machine !== item.machine);
    const priorSpread = spreadOf(trusted.filter(({ machine }) => like.some((one) => one.machine === machine))) ?? shopSpread;
    const spread = Math.sqrt(
      (SPREAD_WORTH * priorSpread ** 2 + item.sessions * (item.spread ?? priorSpread) ** 2) / (SPREAD_WORTH + item.sessions),
    );
    // Of machines that are not alike only so much is known of the centre as they lie apart.
    const apart =
      like.length > 0 || others.length === 0
        ? CENTRES_APART
        : Math.max(CENTRES_APART, spreadOfCentres(others.map(({ median }) => median)));
    const worth = others.length === 0 ? 0 : (spread / apart) ** 2;
    const middle = others.length === 0 ? item.median : medianOf(others.map(({ median }) => median));
    const centre = (worth * middle + item.sessions * item.median) / (worth + item.sessions);
    const df = SPREAD_WORTH + EFFICIENCY * item.sessions;
    norms.set(item.machine, {
      machine: item.machine,
      sessions: item.sessions,
      centre,
      spread,
      df,
      // The median of normal values is known as well as the mean of two thirds as many.
      scale: spread * Math.sqrt(1 + 1 / (worth + (2 / 3) * item.sessions)),
      medianSeconds: Math.exp(item.median),
      logs: item.logs,
      borrowed: SPREAD_WORTH / (SPREAD_WORTH + item.sessions),
    });
  }
  return norms;
}

/** Slope through the upper half; null where there are too few or all are equal. */
function upperSpread(logs: readonly number[]): number | null {
  const n = logs.length;
  const centre = quantileSorted([...logs], 0.5);
  let up = 0;
  let along = 0;
  for (let i = Math.floor(n / 2); i < n; i++) {
    const share = (i + 0.5) / n;
    if (share > UPPER_SHARE && n >= 8) break;
    const q = normalQuantile(share, 0, 1);
    up += q * (logs[i]! - centre);
    along += q * q;
  }
  return along > 0 && up > 0 ? up / along : null;
}

const spreadOfCentres = (medians: readonly number[]): number => {
  if (medians.length === 0) return 0;
  const middle = medianOf([...medians]);
  return 1.4826 * medianOf(medians.map((value) => Math.abs(value - middle)));
};

export interface LengthFences {
  lowerSeconds: number;
  upperSeconds: number;
  medcouple: number;
}

/** Fences of the logarithm that respect skew, in seconds; null with fewer than three sessions. */
export function lengthFences({ logs }: Pick<Norm, "logs">): LengthFences | null {
  // Every value above the median meets every one below it: a thinned sample has the same medcouple to two digits.
  const step = Math.ceil(logs.length / MOST_FOR_FENCES);
  const fences = adjustedFences(step === 1 ? logs : logs.filter((_, i) => i % step === step >> 1));
  if (isInsufficient(fences)) return null;
  return { lowerSeconds: Math.exp(fences.lower), upperSeconds: Math.exp(fences.upper), medcouple: fences.medcouple };
}

/** Chance that an ordinary session of this norm lasts as long or longer, as fitted. */
export function fittedTail(norm: Norm, seconds: number): number {
  const t = (Math.log(Math.max(seconds, 1)) - norm.centre) / norm.scale;
  return t >= 0 ? tUpper(t, norm.df) : 1 - tUpper(-t, norm.df);
}

/** The length that an ordinary session reaches with that chance as fitted. */
export function secondsAt(norm: Norm, tail: number): number {
  let low = 0;
  let high = 60;
  for (let step = 0; step < 60; step++) {
    const middle = (low + high) / 2;
    if (tUpper(middle, norm.df) > tail) low = middle;
    else high = middle;
  }
  return Math.exp(norm.centre + high * norm.scale);
}

const LEVELS = [0.1, 0.07, 0.05, 0.03, 0.02] as const;

/**
 * What share of the shop's own sessions is beyond each fitted tail, all machines pooled, turned into a calibration. The levels stop
 * at one in fifty: further out the sessions sought would have a say.
 */
export function calibrationFrom(samples: readonly Sample[], norms: ReadonlyMap<string, Norm>): Calibration {
  const beyond = new Float64Array(LEVELS.length);
  let all = 0;
  for (const { machine, sessions, lengths } of samples) {
    const norm = norms.get(machine);
    if (norm === undefined) continue;
    all += sessions;
    for (const [place, level] of LEVELS.entries()) {
      const cut = secondsAt(norm, level);
      let count = 0;
      for (let i = lengths.length - 1; i >= 0 && lengths[i]! >= cut; i--) count++;
      beyond[place]! += (count / lengths.length) * sessions;
    }
  }
  return calibrationThrough(
    LEVELS.map((level, place) => ({ level, beyond: beyond[place]! })),
    all,
  );
}
