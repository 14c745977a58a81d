// A measured value on its way to its limit: pressure drop, belt deflection, run-down seconds.
import tQuantile from "@stdlib/stats-base-dists-t-quantile";
import type { Insufficient } from "../../shared/errors.ts";
import { insufficient } from "../../shared/errors.ts";
import type { MaybeRange } from "../hours/asked.ts";

export interface ReadingTrend {
  /** Rise of the value per unit of x. */
  slope: MaybeRange;
  /** Where the line meets the limit, in x; null ends lie beyond what the readings can tell. */
  limitAt: MaybeRange;
}

const POINTS_NEEDED = 3;

/**
 * The straight line through readings and where it meets the limit, with the 80 % interval of that place: the fiducial limits of
 * inverse prediction by Fieller's theorem (Draper and Smith, Applied Regression Analysis, 3rd ed. 1998, section 3.2; from memory).
 * Needs three readings at two different x at least, else `insufficient`. Where the slope's own interval reaches 0 or leads away
 * from the limit, ends are null.
 */
export function readingTrend(
  points: readonly { x: number; y: number }[],
  limit: number,
  due: "above" | "below",
): ReadingTrend | Insufficient {
  const distinct = new Set(points.map(({ x }) => x)).size;
  if (points.length < POINTS_NEEDED || distinct < 2) return insufficient(Math.min(points.length, distinct + 1), POINTS_NEEDED);
  const n = points.length;
  const xMean = points.reduce((sum, { x }) => sum + x, 0) / n;
  const yMean = points.reduce((sum, { y }) => sum + y, 0) / n;
  const sxx = points.reduce((sum, { x }) => sum + (x - xMean) ** 2, 0);
  const slope = points.reduce((sum, { x, y }) => sum + (x - xMean) * (y - yMean), 0) / sxx;
  const residual = points.reduce((sum, { x, y }) => sum + (y - yMean - slope * (x - xMean)) ** 2, 0);
  const t = tQuantile(0.9, n - 2);
  const spread = t ** 2 * (residual / (n - 2));
  const reach = Math.sqrt(spread / sxx);
  const towards = due === "above" ? slope > 0 : slope < 0;
  const gap = limit - yMean;
  if (!towards) {
    return { slope: { low: slope - reach, best: slope, high: slope + reach }, limitAt: { low: null, best: null, high: null } };
  }
  // (ȳ + b·d − limit)² = t²s²(1/n + d²/Sxx), d = x − x̄.
  const a = slope ** 2 - spread / sxx;
  const b = -slope * gap;
  const c = gap ** 2 - spread / n;
  const best = xMean + gap / slope;
  const root = b ** 2 - a * c;
  const ends = a > 0 && root >= 0 ? [(-b - Math.sqrt(root)) / a, (-b + Math.sqrt(root)) / a].map((d) => xMean + d) : [null, null];
  return {
    slope: { low: slope - reach, best: slope, high: slope + reach },
    limitAt: { low: ends[0] ?? null, best, high: ends[1] ?? null },
  };
}
