// How much one machine is used for what its days invite: a level that wanders slowly, followed week by week (local level model;
// Harvey, Forecasting, Structural Time Series Models and the Kalman Filter, 1989, section 2.3; from memory), with the level of
// its like as prior.

/** One week of the past, oldest first: use, and what was invited at a level of 1. */
export interface LevelWeek {
  use: number;
  invited: number;
}

export interface LevelAsked {
  priorMean: number;
  /** Of the level, as a share of the prior mean. */
  priorSpread: number;
  /** Variance that a week adds to the level, as a share of its square. */
  drift: number;
  /** Variance of a week's use for each unit of its mean. */
  fano: number;
}

export interface Level {
  mean: number;
  variance: number;
  /** Logarithm of the density of the weeks, each given those before. */
  logLikelihood: number;
  /** Squared surprise beyond what the level's own uncertainty makes, and the means it belongs to: their ratio tells `fano`. */
  excess: number;
  expected: number;
}

/** With no week, the prior. */
export function levelOf(weeks: readonly LevelWeek[], { priorMean, priorSpread, drift, fano }: LevelAsked): Level {
  let mean = priorMean;
  let variance = (priorSpread * priorMean) ** 2;
  let logLikelihood = 0;
  let excess = 0;
  let expected = 0;
  const least = 0.05 * priorMean;
  for (const { use, invited } of weeks) {
    variance += drift * mean ** 2;
    if (invited <= 0) continue;
    const forecast = mean * invited;
    const luck = fano * Math.max(forecast, least * invited);
    const spread = variance * invited ** 2 + luck;
    const surprise = use - forecast;
    logLikelihood -= 0.5 * (Math.log(spread) + surprise ** 2 / spread);
    excess += surprise ** 2 - variance * invited ** 2;
    expected += forecast;
    const gain = (variance * invited) / spread;
    mean = Math.max(least, mean + gain * surprise);
    variance *= 1 - gain * invited;
  }
  return { mean, variance, logLikelihood, excess, expected };
}
