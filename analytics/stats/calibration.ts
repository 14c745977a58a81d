// Tail probabilities of a fit turned into ones that hold, by the ranks of what was seen.

/** Turns a fitted tail probability into a calibrated one. */
export type Calibration = (fitted: number) => number;

export interface Reached {
  /** A fitted tail probability, … */
  level: number;
  /** … and how many of `all` came so far. */
  beyond: number;
}

const FEWEST_BEYOND = 8;
const FEWEST_POINTS = 3;
const FLATTEST = 0.5;
const STEEPEST = 1.8;

/**
 * As far as ranks reach, the share that came as far (counting one more, as conformal p-values do: Bates et al. 2023) is the
 * calibrated tail, in straight lines between the levels on logarithms. Beyond, the line goes on with the slope of the whole: a rank
 * among n can say no less than 1/(n + 1), and a fit alone says what it was told to assume. Levels that fewer than eight reached are
 * not used; with fewer than three left nothing is changed.
 */
export function calibrationThrough(reached: readonly Reached[], all: number): Calibration {
  const points = reached
    .filter(({ beyond }) => beyond >= FEWEST_BEYOND)
    .sort((a, b) => b.level - a.level)
    .map(({ level, beyond }) => ({ fitted: Math.log(level), seen: Math.log((beyond + 1) / (all + 1)) }));
  const first = points[0];
  const last = points.at(-1);
  if (first === undefined || last === undefined || points.length < FEWEST_POINTS) return (fitted) => fitted;
  // Single steps are too shaky to be carried on.
  const slope = Math.min(STEEPEST, Math.max(FLATTEST, (last.seen - first.seen) / (last.fitted - first.fitted)));
  return (fitted) => {
    if (!(fitted > 0)) return 0;
    const at = Math.log(fitted);
    if (at >= first.fitted) {
      // From the first level up to 1, where both are 1.
      return Math.min(1, Math.exp(first.seen * (at / first.fitted)));
    }
    const next = points.findIndex((point) => point.fitted <= at);
    if (next < 0) return Math.exp(last.seen + slope * (at - last.fitted));
    const [a, b] = [points[next - 1]!, points[next]!];
    return Math.exp(a.seen + ((at - a.fitted) / (b.fitted - a.fitted)) * (b.seen - a.seen));
  };
}
