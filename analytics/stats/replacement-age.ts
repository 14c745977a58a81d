// At which age does planned replacement cost least, where failing costs more than replacing in time?
import gammainc from "@stdlib/math-base-special-gammainc";
import { ensurePositive, finiteOrNull } from "./checks.ts";
import { fitCaution, type MethodNote } from "./method-note.ts";
import { type Weibull, weibullCdf, weibullMean } from "./weibull.ts";

export interface ReplacementCosts {
  costPlanned: number;
  costFailure: number;
}

export interface ReplacementAge {
  /** In the unit of the scale; null where no age pays: failing costs no more than replacing, or shape at or below 1. */
  age: number | null;
  /** Per unit of age, at that age or, where it is null, run to failure. */
  costRate: number;
  costRateRunToFailure: number;
  /** Share that fails before that age; null where it is null. */
  failedBefore: number | null;
}

function ensureLifeAndCosts({ shape, scale, costPlanned, costFailure }: Weibull & ReplacementCosts): void {
  ensurePositive("shape", shape);
  ensurePositive("scale", scale);
  ensurePositive("costPlanned", costPlanned);
  ensurePositive("costFailure", costFailure);
}

/** Expected age at failure or at `age`, whichever comes first: ∫₀^age S(t) dt. */
function weibullMeanUntil(age: number, { shape, scale }: Weibull): number {
  return weibullMean({ shape, scale }) * gammainc((age / scale) ** shape, 1 / shape, true, false);
}

/**
 * Cost per unit of age of replacing at failure or at `age`: [costFailure·F(age) + costPlanned·S(age)] ÷ ∫₀^age S(t) dt.
 * Barlow & Proschan 1965, Mathematical Theory of Reliability, ch. 4.
 */
export function replacementCostRate(age: number, costs: Weibull & ReplacementCosts): number {
  ensureLifeAndCosts(costs);
  ensurePositive("age", age);
  const failed = weibullCdf(age, costs);
  return (costs.costFailure * failed + costs.costPlanned * (1 - failed)) / weibullMeanUntil(age, costs);
}

/**
 * The replacement age of least cost for a known Weibull life: the root of h(T)·∫₀^T S − F(T) = costPlanned/(costFailure −
 * costPlanned), which is unique for shapes above 1. Throws a UsageError unless all four are positive numbers.
 * Barlow & Proschan 1965, Mathematical Theory of Reliability, ch. 4.
 */
export function replacementAge(costs: Weibull & ReplacementCosts): ReplacementAge {
  ensureLifeAndCosts(costs);
  const { shape, scale, costPlanned, costFailure } = costs;
  const costRateRunToFailure = costFailure / weibullMean(costs);
  const never = { age: null, costRate: costRateRunToFailure, costRateRunToFailure, failedBefore: null };
  if (shape <= 1 || costFailure <= costPlanned) return never;
  const unit = { shape, scale: 1 };
  const wanted = costPlanned / (costFailure - costPlanned);
  const excess = (x: number) => shape * x ** (shape - 1) * weibullMeanUntil(x, unit) - weibullCdf(x, unit) - wanted;
  let [low, high] = [0, 1];
  while (excess(high) < 0) {
    [low, high] = [high, 2 * high];
    // So late that nothing is left to replace: the gain over running to failure is below the last digit.
    if (weibullCdf(high, unit) === 1 && high > 1e6) return never;
  }
  for (let step = 0; step < 200; step++) {
    const middle = (low + high) / 2;
    if (middle <= low || middle >= high) break;
    if (excess(middle) < 0) low = middle;
    else high = middle;
  }
  const age = ((low + high) / 2) * scale;
  const costRate = replacementCostRate(age, costs);
  return costRate < costRateRunToFailure ? { age, costRate, costRateRunToFailure, failedBefore: weibullCdf(age, costs) } : never;
}

/**
 * The overhaul age of least cost for a machine that is mended to as good as it was and overhauled to new:
 * η (costPlanned/(costRepair·(b − 1)))^(1/b); null for shapes at or below 1. Another model than replacement at failure.
 * Barlow & Hunter 1960, Operations Research 8(1).
 */
export function minimalRepairAge({
  shape,
  scale,
  costPlanned,
  costRepair,
}: Weibull & { costPlanned: number; costRepair: number }): number | null {
  ensureLifeAndCosts({ shape, scale, costPlanned, costFailure: costRepair });
  return shape <= 1 ? null : finiteOrNull(scale * (costPlanned / (costRepair * (shape - 1))) ** (1 / shape));
}

export const replacementAgeNote: MethodNote = {
  help: "the replacement age of least cost for a known Weibull life and two costs",
  title: "When is it cheapest to replace?",
  plain: `Where a failure costs more than a planned change and the part wears out, there is an age at which to change it. Where it does not wear out, changing early only wastes good parts: inspect instead. ${fitCaution}`,
  formula: "cost(T) = [cost of failure·F(T) + planned cost·S(T)] / ∫₀ᵀ S(t) dt, least over T",
  source: "Barlow & Proschan, Mathematical Theory of Reliability (1965), ch. 4",
  example: { shape: 2.5, scale: 1000, costPlanned: 1, costFailure: 5 },
};
