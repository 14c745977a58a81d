// A straight line through the origin: how much y per x.
import { type Insufficient, insufficient } from "../../shared/errors.ts";
import { ensure, ensureSameLength } from "./checks.ts";
import type { MethodNote } from "./method-note.ts";

export interface RatioLine {
  slope: number;
  /** Null for a single point. */
  slopeSe: number | null;
  residualSd: number | null;
  /** 1 − Σ residual² ÷ Σ y² (uncentred, as it must be without intercept); null where all y are 0. */
  rSquared: number | null;
  points: number;
}

/**
 * Least squares through the origin, n − 1 degrees of freedom. No point, or all x 0, gives `insufficient`.
 * NIST Statistical Reference Datasets, NoInt1. Throws a UsageError for lists of different length.
 */
export function ratioLine({ x, y }: { x: readonly number[]; y: readonly number[] }): RatioLine | Insufficient {
  ensureSameLength("y", y, "x", x.length);
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (let i = 0; i < x.length; i++) {
    ensure(Number.isFinite(x[i]), `x[${i}]`, x[i], "a number");
    ensure(Number.isFinite(y[i]), `y[${i}]`, y[i], "a number");
    xx += x[i]! * x[i]!;
    xy += x[i]! * y[i]!;
    yy += y[i]! * y[i]!;
  }
  if (xx === 0) return insufficient(0, 1);
  const slope = xy / xx;
  const squares = x.reduce((sum, one, i) => sum + (y[i]! - slope * one) ** 2, 0);
  const residualSd = x.length > 1 ? Math.sqrt(squares / (x.length - 1)) : null;
  return {
    slope,
    slopeSe: residualSd === null ? null : residualSd / Math.sqrt(xx),
    residualSd,
    rSquared: yy > 0 ? 1 - squares / yy : null,
    points: x.length,
  };
}

export const ratioLineNote: MethodNote = {
  help: "least squares through the origin",
  title: "How much of one per unit of the other?",
  plain: "The best single ratio between two lists, such as hour-meter hours and badge hours, and how sure it is.",
  formula: "slope = Σxy/Σx²; se = √(Σ(y − slope·x)²/(n−1)/Σx²)",
  source: "NIST Statistical Reference Datasets, NoInt1",
  example: { x: [60, 61, 62, 63], y: [130, 131, 132, 133] },
};
