// What the statistics answer: lives, repairs, replacement, queues, spares, outliers, limits and scores.
// Pure functions of numbers: nothing here reads, draws or asks the store; chance comes in as a seeded generator.
// Knows shared/ only. Start with weibull-fit.ts (a life), posterior-life.ts (a life from few), life-advice.ts (what to do).
export { bearingLife, bearingReliabilityFactor, contactorLife, toolLife, toolLifeAt } from "./bench-sums.ts";
export { benchMethods, calc, calcMethods } from "./calc.ts";
export { binomialTwoSided, crpsEnsemble, crpsNormal, intervalScore, kupiec, scoreIntervals } from "./forecast-scores.ts";
export { countInterval, shareInterval } from "./intervals.ts";
export { type Advice, adviseLife, type LifeAdvice, type LifeEnd, livesEndedBy, type PartLife } from "./life-advice.ts";
export { type InspectedLives, type Lives, livesFrom, type TimedLives } from "./lives.ts";
export { fitLognormal, type LognormalFit } from "./lognormal-fit.ts";
export { fitCaution, type MethodNote } from "./method-note.ts";
export { adjustedFences, fences, gesd, medcouple, modifiedZ } from "./outliers.ts";
export {
  drawRemainingLife,
  drawRemainingLives,
  drawWeibull,
  type LifeGrid,
  type LifePosterior,
  type LifeRanges,
  posteriorLife,
  predictiveQuantile,
  type Random,
} from "./posterior-life.ts";
export { type GroupPosterior, type MemberPosterior, posteriorMembers } from "./posterior-members.ts";
export { fitPowerLaw, type PowerLawFit, powerLawHomogeneity } from "./power-law.ts";
export { type LifePrior, type LifeUnit, partClasses, priorFor } from "./priors.ts";
export { erlangB, erlangBLoad, erlangC, type Queue, queueMany, queueOne, waitBeyond } from "./queues.ts";
export { type RatioLine, ratioLine } from "./ratio-line.ts";
export { type RepairCurve, repairCurve } from "./repair-curve.ts";
export { type RepairTrend, repairTrend } from "./repair-trend.ts";
export type { GroupedRepairs, Repairs, TimedRepairs } from "./repairs.ts";
export { minimalRepairAge, type ReplacementAge, replacementAge, replacementCostRate } from "./replacement-age.ts";
export { sparesNeeded } from "./spares.ts";
export { type SurvivalCurve, survivalCurve } from "./survival-curve.ts";
export {
  type Weibull,
  weibullCdf,
  weibullDensity,
  weibullHazard,
  weibullMean,
  weibullQuantile,
  weibullSd,
  weibullSurvival,
} from "./weibull.ts";
export {
  adjustedRanks,
  benardRank,
  fitWeibull,
  medianRank,
  rossFactor,
  type WeibullCurve,
  type WeibullFit,
  weibullCurve,
  weibullLogLikelihood,
} from "./weibull-fit.ts";
