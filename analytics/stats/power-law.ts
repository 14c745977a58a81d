// The power-law process: repairs by age t expected to number λ t^β.
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";
import { type Insufficient, insufficient } from "../../shared/errors.ts";
import { ensureShare, finiteOrNull } from "./checks.ts";
import { fitCaution, type MethodNote } from "./method-note.ts";
import { eventCount, type GroupedRepairs, isGrouped, type Repairs, type System, stretchesFrom, systemsFrom } from "./repairs.ts";

export interface PowerLawFit {
  /** Maximum likelihood; above 1 the repairs come faster with age. */
  beta: number;
  lambda: number;
  /** M/Σ ln(T/t) over the M events before the ends; null for grouped repairs, as are the next four. */
  betaConditional: number | null;
  /** (M − 1)/M of it. */
  betaUnbiased: number | null;
  /** Cramér–von Mises distance from the law, with betaUnbiased. */
  cvm: number | null;
  /** Time between repairs at the end with betaUnbiased, and its limits (one time-truncated system only). */
  mtbfUnbiased: number | null;
  mtbfUnbiasedLow: number | null;
  mtbfUnbiasedHigh: number | null;
  /** Per system at the latest end: λ β T^(β−1), and one over it. */
  intensityAtEnd: number;
  mtbfAtEnd: number;
  /** Mean over the last stretch; null unless grouped. */
  intensityLastStretch: number | null;
  mtbfLastStretch: number | null;
  events: number;
  systems: number;
  level: number;
}

/**
 * Power-law (Crow) process by maximum likelihood: one or several systems, time-truncated, failure-truncated or grouped.
 * Crow 1975, AMSAA TR-138, 3.1–3.7; MIL-HDBK-189; the unbiased figures and their `level` (default 0.8) limits as in
 * NIST/SEMATECH e-Handbook 8.4.5.2. Fewer than four events give `insufficient`, as do events at the ends only.
 * Errors as for `systemsFrom` and `stretchesFrom`.
 */
export function fitPowerLaw(repairs: Repairs, { level = 0.8 }: { level?: number | undefined } = {}): PowerLawFit | Insufficient {
  ensureShare("level", level);
  const systems = isGrouped(repairs) ? null : systemsFrom(repairs);
  const stretches = isGrouped(repairs) ? stretchesFrom(repairs) : null;
  const events = eventCount(repairs);
  if (events < 4) return insufficient(events, 4);
  const none = {
    betaConditional: null,
    betaUnbiased: null,
    cvm: null,
    mtbfUnbiased: null,
    mtbfUnbiasedLow: null,
    mtbfUnbiasedHigh: null,
  };
  if (stretches !== null) {
    const filled = stretches.filter(({ count }) => count > 0).length;
    const beta = groupedBeta(stretches);
    if (beta === null) return insufficient(filled, 2);
    const end = stretches.at(-1)!;
    const intensityLastStretch = (events * -Math.expm1(beta * Math.log(end.from / end.until))) / (end.until - end.from);
    return {
      beta,
      ...none,
      ...atEnd(beta, events, [end.until]),
      intensityLastStretch,
      mtbfLastStretch: 1 / intensityLastStretch,
      events,
      systems: 1,
      level,
    };
  }
  const watched = systems!.filter(({ end }) => end > 0);
  const before = watched.map(beforeEnd);
  const inside = before.reduce((sum, { events: m }) => sum + m, 0);
  const logs = before.reduce((sum, { logs: s }) => sum + s, 0);
  if (!(logs > 0)) return insufficient(0, 4);
  const beta = timedBeta(watched, events, logs);
  const betaConditional = inside / logs;
  const betaUnbiased = ((inside - 1) / inside) * betaConditional;
  const single = watched.length === 1 && !watched[0]!.endsWithEvent ? watched[0]! : null;
  const mtbfUnbiased = single && betaUnbiased > 0 ? single.end / (events * betaUnbiased) : null;
  const [low, high] = mtbfFactors(events, level);
  return {
    beta,
    betaConditional,
    betaUnbiased,
    cvm: cramerVonMises(watched, betaUnbiased),
    mtbfUnbiased,
    mtbfUnbiasedLow: mtbfUnbiased && mtbfUnbiased * low,
    mtbfUnbiasedHigh: mtbfUnbiased && finiteOrNull(mtbfUnbiased * high),
    ...atEnd(
      beta,
      events,
      watched.map(({ end }) => end),
    ),
    intensityLastStretch: null,
    mtbfLastStretch: null,
    events,
    systems: watched.length,
    level,
  };
}

const longestOf = (ends: readonly number[]): number => ends.reduce((most, end) => Math.max(most, end), 0);

/** λ = n/Σ T^β and what follows at the latest end, by way of the shares (T/latest)^β so that no power overflows. */
function atEnd(beta: number, events: number, ends: readonly number[]) {
  const latest = longestOf(ends);
  const shares = ends.reduce((sum, end) => sum + (end / latest) ** beta, 0);
  const intensityAtEnd = (events * beta) / (latest * shares);
  return { lambda: Math.exp(Math.log(events / shares) - beta * Math.log(latest)), intensityAtEnd, mtbfAtEnd: 1 / intensityAtEnd };
}

/** Events before the end of a system's watch and Σ ln(T/t) over them. */
function beforeEnd({ times, end, endsWithEvent }: System): { events: number; logs: number } {
  const inside = endsWithEvent ? times.slice(0, -1) : times;
  return { events: inside.length, logs: inside.reduce((sum, time) => sum + Math.log(end / time), 0) };
}

/** The root in β of d lnL/dβ with λ at its best: falling, since the log likelihood is concave in ln λ and β together. */
function timedBeta(systems: readonly System[], events: number, logs: number): number {
  const longest = longestOf(systems.map(({ end }) => end));
  // d lnL/dβ with T measured in the longest end, so that no power overflows.
  const slope = (beta: number): number => {
    let powers = 0;
    let logPowers = 0;
    let logEvents = 0;
    for (const { times, end } of systems) {
      const log = Math.log(end / longest);
      const power = Math.exp(beta * log);
      powers += power;
      logPowers += power * log;
      logEvents += times.length * log;
    }
    return events / beta - logs + logEvents - (events * logPowers) / powers;
  };
  return rootOfFalling(slope, events / logs);
}

function groupedBeta(stretches: readonly { from: number; until: number; count: number }[]): number | null {
  const end = stretches.at(-1)!.until;
  const slope = (beta: number): number => {
    let sum = 0;
    for (const { from, until, count } of stretches) {
      const logUntil = Math.log(until / end);
      if (from === 0) sum += count * logUntil;
      else {
        const logFrom = Math.log(from / end);
        // (u^β ln u − f^β ln f)/(u^β − f^β), written with the ratio so that a large β can't underflow both.
        const ratio = Math.exp(beta * (logFrom - logUntil));
        sum += (count * (logUntil - ratio * logFrom)) / -Math.expm1(beta * (logFrom - logUntil));
      }
    }
    return sum;
  };
  // Without an event outside the first stretch β falls to 0, with all in the last it rises for ever.
  const inFirst = stretches[0]!.count;
  const inLast = stretches.at(-1)!.count;
  const all = stretches.reduce((sum, { count }) => sum + count, 0);
  return inFirst === all || inLast === all ? null : rootOfFalling(slope, 1);
}

/** Where a falling function of β > 0 crosses 0, by bracketing from `start` and bisection in ln β to the last bit. */
function rootOfFalling(slope: (beta: number) => number, start: number): number {
  let low = start;
  let high = start;
  while (slope(low) < 0) low /= 2;
  while (slope(high) > 0) high *= 2;
  for (let step = 0; step < 200; step++) {
    const middle = Math.sqrt(low * high);
    if (middle <= low || middle >= high) break;
    if (slope(middle) > 0) low = middle;
    else high = middle;
  }
  return Math.sqrt(low * high);
}

function cramerVonMises(systems: readonly System[], beta: number): number {
  const shares = systems
    .flatMap(({ times, end, endsWithEvent }) => (endsWithEvent ? times.slice(0, -1) : times).map((time) => (time / end) ** beta))
    .sort((a, b) => a - b);
  const m = shares.length;
  return shares.reduce((sum, share, i) => sum + (share - (2 * i + 1) / (2 * m)) ** 2, 1 / (12 * m));
}

/** Factors of the limits of the time between repairs at the end of a time-truncated watch with r events. NIST 8.4.5.2. */
function mtbfFactors(r: number, level: number): [low: number, high: number] {
  const z = normalQuantile((1 + level) / 2, 0, 1);
  const low = (r * (r - 1)) / (r + (z * z) / 4 + Math.sqrt((r * z * z) / 2 + z ** 4 / 16)) ** 2;
  const room = r - z * Math.sqrt(r / 2);
  return [low, room > 0 ? (r * (r - 1)) / room ** 2 : Number.POSITIVE_INFINITY];
}

export interface BetaHomogeneity {
  /** M/Σ ln(T/t) of each system, in the order in which the systems first appear. */
  beta: { system: string; beta: number; events: number }[];
  /** Two systems: second beta over first, F with 2M₁ and 2M₂ degrees of freedom where they share one; null for more. */
  f: number | null;
  /** 2L/a, about χ² with K − 1 degrees of freedom where all share one beta. */
  d: number;
  a: number;
  df: number;
}

/**
 * Do several systems share one beta? F for two, Bartlett's statistic for more. Crow 1975, AMSAA TR-138, 3.6.
 * Systems without an event before the end of their watch tell nothing and are left out; fewer than two others give
 * `insufficient`.
 */
export function powerLawHomogeneity(repairs: Exclude<Repairs, GroupedRepairs>): BetaHomogeneity | Insufficient {
  const known = systemsFrom(repairs)
    .map((system) => ({ system: system.name, ...beforeEnd(system) }))
    .filter(({ logs }) => logs > 0);
  const k = known.length;
  if (k < 2) return insufficient(k, 2);
  const beta = known.map(({ system, events, logs }) => ({ system, beta: events / logs, events }));
  const m = known.reduce((sum, { events }) => sum + events, 0);
  const pooled = m / known.reduce((sum, { logs }) => sum + logs, 0);
  const l = beta.reduce((sum, one) => sum + one.events * Math.log(one.beta), 0) - m * Math.log(pooled);
  const a = 1 + (beta.reduce((sum, { events }) => sum + 1 / events, 0) - 1 / m) / (6 * (k - 1));
  return { beta, f: k === 2 ? beta[1]!.beta / beta[0]!.beta : null, d: (2 * l) / a, a, df: k - 1 };
}

export const powerLawNote: MethodNote = {
  help: "power-law process of repairs: beta, lambda, time between repairs at the end",
  title: "Repairs that crowd or thin out",
  plain: `Fits a curve to the count of repairs: beta above 1 means that they come ever faster, and the last figure says how far apart they are now. ${fitCaution}`,
  formula: "expected repairs by t = λ·t^β; β = n/Σ ln(T/t); λ = n/T^β",
  source: "Crow 1975, AMSAA TR-138; MIL-HDBK-189; NIST/SEMATECH e-Handbook 8.4.5.2",
  example: { time: [5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478], end: 1500 },
};
