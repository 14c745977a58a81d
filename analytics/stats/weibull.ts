// The two-parameter Weibull distribution: shape b, scale η, S(t) = exp(−(t/η)^b).
import gammaln from "@stdlib/math-base-special-gammaln";
import { ensureNotNegative, ensurePositive } from "./checks.ts";
import type { Standard } from "./log-location-scale.ts";

export interface Weibull {
  shape: number;
  /** In the unit of the lives: the age by which 63.2 % have ended. */
  scale: number;
}

/** Cumulative hazard (t/η)^b; 0 at age 0. */
export const weibullCumulativeHazard = (t: number, { shape, scale }: Weibull): number => (t / scale) ** shape;

/** Share still good at age t. */
export const weibullSurvival = (t: number, life: Weibull): number => Math.exp(-weibullCumulativeHazard(t, life));

/** Share ended by age t. */
export const weibullCdf = (t: number, life: Weibull): number => -Math.expm1(-weibullCumulativeHazard(t, life));

/** Failures per unit of age among those still good: (b/η)(t/η)^(b−1). NIST/SEMATECH e-Handbook 8.1.6.2. */
export function weibullHazard(t: number, { shape, scale }: Weibull): number {
  ensureNotNegative("t", t);
  return (shape / scale) * (t / scale) ** (shape - 1);
}

/** Density at age t. NIST/SEMATECH e-Handbook 8.1.6.2. */
export const weibullDensity = (t: number, life: Weibull): number => weibullHazard(t, life) * weibullSurvival(t, life);

/** The age by which a share p (0–1) has ended; 0.1 gives B10. */
export const weibullQuantile = (p: number, { shape, scale }: Weibull): number => scale * (-Math.log1p(-p)) ** (1 / shape);

/** η Γ(1 + 1/b); infinite where it overflows (shapes below about 0.006). */
export function weibullMean({ shape, scale }: Weibull): number {
  ensurePositive("shape", shape);
  ensurePositive("scale", scale);
  return scale * Math.exp(gammaln(1 + 1 / shape));
}

/** η √(Γ(1 + 2/b) − Γ(1 + 1/b)²). */
export function weibullSd({ shape, scale }: Weibull): number {
  const mean = Math.exp(gammaln(1 + 1 / shape));
  return scale * Math.sqrt(Math.exp(gammaln(1 + 2 / shape)) - mean * mean);
}

/** ln(1 − e^x) for x < 0, without loss at either end (Mächler 2012, "Accurately computing log(1 − exp(−|a|))"). */
export const log1mExp = (x: number): number => (x > -Math.LN2 ? Math.log(-Math.expm1(x)) : Math.log1p(-Math.exp(x)));

/** The smallest extreme value distribution: ln of a Weibull life, location ln η, spread 1/b. */
export const smallestExtreme: Standard = {
  density(z, out) {
    const hazard = Math.exp(z);
    out.value = z - hazard;
    out.slope = 1 - hazard;
    out.bend = -hazard;
  },
  survival(z, out) {
    const hazard = Math.exp(z);
    out.value = -hazard;
    out.slope = -hazard;
    out.bend = -hazard;
  },
  logCdf: (z) => log1mExp(-Math.exp(z)),
  logBetween: (a, b) => -Math.exp(a) + log1mExp(Math.exp(a) - Math.exp(b)),
  spreadPerSd: Math.sqrt(6) / Math.PI,
};
