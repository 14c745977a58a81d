// Limits for a count and for a share.
import betaQuantile from "@stdlib/stats-base-dists-beta-quantile";
import gammaQuantile from "@stdlib/stats-base-dists-gamma-quantile";
import normalQuantile from "@stdlib/stats-base-dists-normal-quantile";
import { ensureHits, ensurePositive, ensureShare, ensureWhole } from "./checks.ts";
import type { MethodNote } from "./method-note.ts";

export interface Limits {
  low: number;
  high: number;
}

/**
 * Exact two-sided limits of a Poisson mean, per unit of exposure (default 1); low is 0 at no event.
 * Garwood 1936, Biometrika 28. Throws a UsageError unless events is a whole number and exposure above 0.
 */
export function countInterval({
  events,
  exposure = 1,
  level = 0.95,
}: {
  events: number;
  exposure?: number | undefined;
  level?: number | undefined;
}): Limits {
  ensureWhole("events", events);
  ensurePositive("exposure", exposure);
  ensureShare("level", level);
  const low = events === 0 ? 0 : gammaQuantile((1 - level) / 2, events, 1);
  return { low: low / exposure, high: gammaQuantile((1 + level) / 2, events + 1, 1) / exposure };
}

/**
 * Two-sided limits of a share: Wilson's score interval (Wilson 1927) or Clopper & Pearson's exact one (1934).
 * Throws a UsageError unless trials is a whole number from 1 and hits one from 0 to trials. Newcombe 1998, Stat. Med. 17.
 */
export function shareInterval({
  hits,
  trials,
  level = 0.95,
  method = "wilson",
}: {
  hits: number;
  trials: number;
  level?: number | undefined;
  method?: "wilson" | "exact" | undefined;
}): Limits {
  ensureHits(hits, trials);
  ensureShare("level", level);
  if (method === "exact") {
    return {
      low: hits === 0 ? 0 : betaQuantile((1 - level) / 2, hits, trials - hits + 1),
      high: hits === trials ? 1 : betaQuantile((1 + level) / 2, hits + 1, trials - hits),
    };
  }
  const z = normalQuantile((1 + level) / 2, 0, 1);
  const share = hits / trials;
  const middle = share + (z * z) / (2 * trials);
  const half = z * Math.sqrt((share * (1 - share)) / trials + (z * z) / (4 * trials * trials));
  const whole = 1 + (z * z) / trials;
  return {
    low: hits === 0 ? 0 : Math.max((middle - half) / whole, 0),
    high: hits === trials ? 1 : Math.min((middle + half) / whole, 1),
  };
}

export const countIntervalNote: MethodNote = {
  help: "exact limits for a count, per exposure",
  title: "How sure is a count?",
  plain:
    "Between which rates the truth lies, if so many events were seen. No event seen in 800 hours doesn't mean that there are none: at 95 % the rate may be as high as 3.7 in that time.",
  formula: "low = γ⁻¹((1−level)/2; k), high = γ⁻¹((1+level)/2; k+1), over exposure",
  source: "Garwood 1936, Biometrika 28",
  example: { events: 15, exposure: 400, level: 0.95 },
};

export const shareIntervalNote: MethodNote = {
  help: "limits for a share, Wilson or exact",
  title: "How sure is a share?",
  plain: "Between which shares the truth lies, if so many of so many were seen.",
  formula: "Wilson: (p + z²/2n ± z·√(p(1−p)/n + z²/4n²)) / (1 + z²/n)",
  source: "Wilson 1927; Clopper & Pearson 1934; Newcombe 1998, Statistics in Medicine 17",
  example: { hits: 18, trials: 20, level: 0.95, method: "wilson" },
};
