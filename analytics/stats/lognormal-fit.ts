// A lognormal life: the logarithm of age is normal.
import normalLogCdf from "@stdlib/stats-base-dists-normal-logcdf";
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";
import { type Insufficient, insufficient } from "../../shared/errors.ts";
import { ensureShare, finiteOrNull } from "./checks.ts";
import { differentFailures, ensurePositiveAges, failureCount, type Lives, lifeCount, livesFrom } from "./lives.ts";
import { fitLocationSpread, type Standard } from "./log-location-scale.ts";
import { fitCaution, type MethodNote } from "./method-note.ts";
import { log1mExp } from "./weibull.ts";

const logCdf = (z: number): number => normalLogCdf(z, 0, 1);
const logDensity = (z: number): number => -0.5 * z * z - 0.5 * Math.log(2 * Math.PI);

const normal: Standard = {
  density(z, out) {
    out.value = logDensity(z);
    out.slope = -z;
    out.bend = -1;
  },
  survival(z, out) {
    out.value = logCdf(-z);
    const hazard = Math.exp(logDensity(z) - out.value);
    out.slope = -hazard;
    out.bend = -hazard * (hazard - z);
  },
  logCdf,
  // On whichever side the tail is thin, so that nothing cancels.
  logBetween: (a, b) => (a > 0 ? logCdf(-a) + log1mExp(logCdf(-b) - logCdf(-a)) : logCdf(b) + log1mExp(logCdf(a) - logCdf(b))),
  spreadPerSd: 1,
};

export interface LognormalFit {
  /** Mean and standard deviation of ln(age). */
  mu: number;
  sigma: number;
  logLikelihood: number;
  muSe: number;
  sigmaSe: number;
  muLow: number;
  muHigh: number;
  /** Symmetric on the log scale. */
  sigmaLow: number;
  sigmaHigh: number | null;
  b10: number;
  median: number;
  mean: number | null;
  level: number;
  lives: number;
  failures: number;
  iterations: number;
  converged: true;
}

/**
 * Lognormal life by maximum likelihood: lives, censoring, truncation, errors and `insufficient` as for `fitWeibull`.
 * Meeker & Escobar 1998, Statistical Methods for Reliability Data, ch. 8; NIST/SEMATECH e-Handbook 8.4.1.3.
 */
export function fitLognormal(lives: Lives, { level = 0.95 }: { level?: number | undefined } = {}): LognormalFit | Insufficient {
  ensureShare("level", level);
  ensurePositiveAges(lives);
  const known = livesFrom(lives);
  const have = differentFailures(known);
  if (have < 2) return insufficient(have, 2);
  const top = fitLocationSpread(normal, known);
  if (top === null) return insufficient(have, have + 1);
  const z = normalQuantile((1 + level) / 2, 0, 1);
  const muSe = Math.sqrt(top.varLocation);
  const span = Math.exp(z * Math.sqrt(top.varLogSpread));
  return {
    mu: top.location,
    sigma: top.spread,
    logLikelihood: top.logLikelihood,
    muSe,
    sigmaSe: top.spread * Math.sqrt(top.varLogSpread),
    muLow: top.location - z * muSe,
    muHigh: top.location + z * muSe,
    sigmaLow: top.spread / span,
    sigmaHigh: finiteOrNull(top.spread * span),
    b10: Math.exp(top.location + top.spread * normalQuantile(0.1, 0, 1)),
    median: Math.exp(top.location),
    mean: finiteOrNull(Math.exp(top.location + top.spread ** 2 / 2)),
    level,
    lives: lifeCount(known),
    failures: failureCount(known),
    iterations: top.iterations,
    converged: top.converged,
  };
}

export const lognormalFitNote: MethodNote = {
  help: "lognormal mu and sigma of lives",
  title: "A life from hours run, lognormal",
  plain: `The same question as the Weibull fit with another curve, often used for cracks and repairs. Where the two differ much, the data don't settle which is right. ${fitCaution}`,
  formula: "ln(life) is normal with mean mu and standard deviation sigma",
  source: "Meeker & Escobar, Statistical Methods for Reliability Data (1998), ch. 8; NIST/SEMATECH e-Handbook 8.4.1.3",
  example: { time: [54, 187, 216, 240, 244, 335, 500, 500], status: [1, 1, 1, 1, 1, 1, 0, 0] },
};
