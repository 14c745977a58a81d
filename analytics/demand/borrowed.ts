// Rates of few counts each, which borrow from their neighbours: a Gamma prior around the neighbours' own rate, whose weight the
// data choose.
import lnGamma from "@stdlib/math-base-special-gammaln";

/** One rate's neighbours and how much each counts. */
export type Neighbours = readonly (readonly (readonly [index: number, weight: number])[])[];

/** The weight of a prior in turns: from next to none to almost all. */
const weights = [0.5, 1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024];

/**
 * The rates that the neighbours tell, themselves left out: Σ weight × count ÷ Σ weight × exposure, with one turn at the overall
 * rate added so that empty neighbourhoods have one. Zero where nothing at all was counted.
 */
export function neighbourRates(counts: ArrayLike<number>, exposures: ArrayLike<number>, neighbours: Neighbours): Float64Array {
  let [count, exposure] = [0, 0];
  for (let i = 0; i < counts.length; i++) {
    count += counts[i]!;
    exposure += exposures[i]!;
  }
  const overall = exposure > 0 ? count / exposure : 0;
  const rates = new Float64Array(counts.length);
  if (overall === 0) return rates;
  for (let i = 0; i < counts.length; i++) {
    let [near, time] = [1, 1 / overall];
    for (const [j, weight] of neighbours[i]!) {
      near += weight * counts[j]!;
      time += weight * exposures[j]!;
    }
    rates[i] = near / time;
  }
  return rates;
}

/**
 * The weight κ of the prior, in turns, at which the counts are likeliest given their neighbours: each is then negative binomial with
 * mean rate × exposure and shape κ (Gamma–Poisson, one shape for all).
 */
export function priorWeight(counts: ArrayLike<number>, exposures: ArrayLike<number>, rates: ArrayLike<number>): number {
  let [best, at] = [Number.NEGATIVE_INFINITY, weights[0]!];
  for (const k of weights) {
    let sum = 0;
    for (let i = 0; i < counts.length; i++) {
      const mean = rates[i]! * exposures[i]!;
      if (mean <= 0) continue;
      const n = counts[i]!;
      sum += lnGamma(k + n) - lnGamma(k) + k * Math.log(k / (k + mean)) + n * Math.log(mean / (k + mean));
    }
    if (sum > best) [best, at] = [sum, k];
  }
  return at;
}

/** The posterior means (κ + count) ÷ (κ ÷ neighbours' rate + exposure). */
export function borrowedRates(
  counts: ArrayLike<number>,
  exposures: ArrayLike<number>,
  neighbours: Neighbours,
  weight: number,
): Float64Array {
  const rates = neighbourRates(counts, exposures, neighbours);
  for (let i = 0; i < rates.length; i++) {
    const prior = rates[i]!;
    rates[i] = prior > 0 ? (weight + counts[i]!) / (weight / prior + exposures[i]!) : 0;
  }
  return rates;
}

/** Hours of the week: the two before and behind, and the same hour of the days beside it, around the week's end too. */
export const hourNeighbours: Neighbours = Array.from({ length: 168 }, (_, hour) =>
  (
    [
      [1, 1],
      [2, 0.5],
      [24, 0.5],
    ] as const
  ).flatMap(([step, weight]) => [[(hour + step) % 168, weight] as const, [(hour + 168 - step) % 168, weight] as const]),
);

/** Months in a row: the one before and behind fully, those beyond by half. */
export const monthNeighbours = (months: number): Neighbours =>
  Array.from({ length: months }, (_, month) =>
    (
      [
        [-2, 0.5],
        [-1, 1],
        [1, 1],
        [2, 0.5],
      ] as const
    )
      .map(([step, weight]) => [month + step, weight] as const)
      .filter(([index]) => index >= 0 && index < months),
  );
