// Maximum likelihood for lives whose logarithm has a location and a spread: Weibull and lognormal share this one climb.
import type { Life } from "./lives.ts";

/** A logarithm with its first and second derivative; written over and over, since a climb asks for millions. */
export interface Curve {
  value: number;
  slope: number;
  bend: number;
}

/** A log-concave density on the line, of location 0 and spread 1. */
export interface Standard {
  /** ln f at z. */
  density(z: number, out: Curve): void;
  /** ln(1 − F) at z. */
  survival(z: number, out: Curve): void;
  /** ln F at z. */
  logCdf(z: number): number;
  /** ln(F(b) − F(a)) for a < b. */
  logBetween(a: number, b: number): number;
  /** Spread over standard deviation, to start from. */
  spreadPerSd: number;
}

export interface LocationSpread {
  /** Of the natural logarithm of life. */
  location: number;
  spread: number;
  logLikelihood: number;
  /** Variance of location, covariance, variance of ln(spread): the inverse of the observed information. */
  varLocation: number;
  covariance: number;
  varLogSpread: number;
  iterations: number;
  converged: true;
}

/**
 * The location and spread that make the lives likeliest, or null where the likelihood has no maximum (it keeps rising as the
 * spread goes to 0 or to infinity: inspections that one single age would explain, entries next to ends).
 *
 * Newton with halved steps in (location/spread, 1/spread). There the log likelihood of exact, right-, left- and
 * interval-censored lives is concave for a log-concave density, so that the climb has one top (Olsen 1978, Econometrica 46;
 * Burridge 1981, JRSS B 43). Left truncation breaks that: several starts are climbed and the highest top is kept.
 * Converged means that the last step was below 1e-7 standard errors and the information there is positive definite.
 *
 * Lives with exact ages or upper ages of 0 must have been refused before.
 */
export function fitLocationSpread(standard: Standard, lives: readonly Life[]): LocationSpread | null {
  const hill = hillOf(standard, lives);
  let best: LocationSpread | null = null;
  for (const factor of hill.truncated ? [1, 0.25, 4] : [1]) {
    const top = climb(hill, factor * standard.spreadPerSd);
    if (top && (best === null || top.logLikelihood > best.logLikelihood)) best = top;
  }
  return best;
}

interface Hill {
  centre: number;
  width: number;
  truncated: boolean;
  /** Writes value, two slopes and three bends at (a, tau) into `out`. */
  at(a: number, tau: number, out: Float64Array): void;
}

function hillOf(standard: Standard, lives: readonly Life[]): Hill {
  // Logarithms are centred and scaled by the lives themselves, so that one start and one tolerance do for any unit.
  let weight = 0;
  let sum = 0;
  let squares = 0;
  for (const { lower, upper, count } of lives) {
    const last = upper === Number.POSITIVE_INFINITY ? lower || 1 : upper;
    const y = (Math.log(lower || last) + Math.log(last)) / 2;
    weight += count;
    sum += count * y;
    squares += count * y * y;
  }
  const centre = sum / weight;
  const width = Math.sqrt(Math.max(squares / weight - centre * centre, 0)) || 1;
  const exact: number[] = [];
  const standing: number[] = [];
  const left: number[] = [];
  const between: number[] = [];
  let truncated = false;
  let logTimes = 0;
  const y = (age: number) => (Math.log(age) - centre) / width;
  for (const { lower, upper, count, entry } of lives) {
    // A late entry takes back the survival up to it: a right-censored life of weight −count.
    if (entry > 0) standing.push(y(entry), -count);
    truncated ||= entry > 0;
    if (lower === upper) {
      exact.push(y(lower), count);
      logTimes += count * (Math.log(lower) + Math.log(width));
    } else if (upper === Number.POSITIVE_INFINITY) {
      if (lower > 0) standing.push(y(lower), count);
    } else if (lower > 0) between.push(y(lower), y(upper), count);
    else left.push(y(upper), count);
  }

  const here: Curve = { value: 0, slope: 0, bend: 0 };
  const there: Curve = { value: 0, slope: 0, bend: 0 };
  const at = (a: number, tau: number, out: Float64Array): void => {
    let value = -logTimes;
    let slopeA = 0;
    let slopeT = 0;
    let bendAA = 0;
    let bendAT = 0;
    let bendTT = 0;
    const logTau = Math.log(tau);
    const add = (x: number, w: number): void => {
      const slope = w * here.slope;
      const bend = w * here.bend;
      value += w * here.value;
      slopeA -= slope;
      slopeT += slope * x;
      bendAA += bend;
      bendAT -= bend * x;
      bendTT += bend * x * x;
    };
    for (let i = 0; i < exact.length; i += 2) {
      const x = exact[i]!;
      const w = exact[i + 1]!;
      standard.density(tau * x - a, here);
      add(x, w);
      value += w * logTau;
      slopeT += w / tau;
      bendTT -= w / (tau * tau);
    }
    for (let i = 0; i < standing.length; i += 2) {
      const x = standing[i]!;
      standard.survival(tau * x - a, here);
      add(x, standing[i + 1]!);
    }
    for (let i = 0; i < left.length; i += 2) {
      const x = left[i]!;
      const z = tau * x - a;
      standard.density(z, here);
      const logCdf = standard.logCdf(z);
      const slope = Math.exp(here.value - logCdf);
      here.bend = slope * (here.slope - slope);
      here.slope = slope;
      here.value = logCdf;
      add(x, left[i + 1]!);
    }
    for (let i = 0; i < between.length; i += 3) {
      const x1 = between[i]!;
      const x2 = between[i + 1]!;
      const w = between[i + 2]!;
      const z1 = tau * x1 - a;
      const z2 = tau * x2 - a;
      const logBetween = standard.logBetween(z1, z2);
      standard.density(z1, here);
      standard.density(z2, there);
      const d1 = -Math.exp(here.value - logBetween);
      const d2 = Math.exp(there.value - logBetween);
      const d11 = d1 * here.slope - d1 * d1;
      const d22 = d2 * there.slope - d2 * d2;
      const d12 = -d1 * d2;
      value += w * logBetween;
      slopeA -= w * (d1 + d2);
      slopeT += w * (d1 * x1 + d2 * x2);
      bendAA += w * (d11 + 2 * d12 + d22);
      bendAT -= w * (d11 * x1 + d12 * (x1 + x2) + d22 * x2);
      bendTT += w * (d11 * x1 * x1 + 2 * d12 * x1 * x2 + d22 * x2 * x2);
    }
    out[0] = value;
    out[1] = slopeA;
    out[2] = slopeT;
    out[3] = bendAA;
    out[4] = bendAT;
    out[5] = bendTT;
  };
  return { centre, width, truncated, at };
}

const mostSteps = 200;
// A log spread known no better than this factor isn't known at all: the slope went flat on the way to a spread of 0.
const widestLogSpreadSe = 50;

function climb({ centre, width, at }: Hill, start: number): LocationSpread | null {
  const here = new Float64Array(6);
  const there = new Float64Array(6);
  let a = 0;
  let tau = start;
  at(a, tau, here);
  for (let step = 1; step <= mostSteps; step++) {
    const [value, slopeA, slopeT, bendAA, bendAT, bendTT] = here as unknown as [number, number, number, number, number, number];
    if (!Number.isFinite(value) || tau > 1e6 || tau < 1e-8) return null;
    let [p, q, r] = [-bendAA, -bendAT, -bendTT];
    let det = p * r - q * q;
    const isHilltop = p > 0 && r > 0 && det > 0;
    if (!isHilltop) {
      // Lift the smaller eigenvalue above 0 and go uphill along the slope.
      const middle = (p + r) / 2;
      const lift = Math.abs(middle - Math.hypot((p - r) / 2, q)) + 1e-3 * Math.max(Math.abs(p), Math.abs(r), 1e-6);
      p += 2 * lift;
      r += 2 * lift;
      det = p * r - q * q;
    }
    const stepA = (r * slopeA - q * slopeT) / det;
    const stepT = (p * slopeT - q * slopeA) / det;
    const gain = slopeA * stepA + slopeT * stepT;
    if (!Number.isFinite(gain)) return null;
    if (isHilltop && gain < 1e-14) {
      const [varA, covAT, varT] = [r / det, -q / det, p / det];
      const spread = width / tau;
      const toLocation = -spread * (a / tau);
      const varLogSpread = varT / (tau * tau);
      if (!(varLogSpread < widestLogSpreadSe ** 2)) return null;
      return {
        location: centre + spread * a,
        spread,
        logLikelihood: value,
        varLocation: spread * spread * varA + 2 * spread * toLocation * covAT + toLocation * toLocation * varT,
        covariance: -(spread * covAT + toLocation * varT) / tau,
        varLogSpread,
        iterations: step,
        converged: true,
      };
    }
    let share = Math.min(1, stepT < 0 ? (-0.9 * tau) / stepT : 1);
    for (let halving = 0; ; halving++) {
      at(a + share * stepA, tau + share * stepT, there);
      // Near the top the gain drowns in rounding: the full step is right there.
      if (there[0]! >= value + 1e-4 * share * gain || (gain < 1e-8 && share === 1)) break;
      if (halving === 60) return null;
      share /= 2;
    }
    a += share * stepA;
    tau += share * stepT;
    here.set(there);
  }
  return null;
}
