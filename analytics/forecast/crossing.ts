// On which day ahead use adds up to what is left: each world follows one path of use, never falling, as a share of the expected course.
import type { Course } from "./fit.ts";

/** How wide past forecasts should have been, by how many days ahead; 1 as they were. */
export type Widening = (daysAhead: number) => number;

/** A course as wide as past forecasts should have been. */
export interface Widened {
  expected: Float64Array;
  levelSd: Float64Array;
  /** Variance of use for each unit of its mean, by day ahead. */
  scale: Float64Array;
  /** What was to be expected of today until now: the course begins with today's first midnight. */
  gone: number;
}

/** `widening` by day ahead, from today on. */
export function widened({ expected, levelSd, fano }: Course, widening: ArrayLike<number>): Widened {
  return {
    expected,
    levelSd: levelSd.map((sd, day) => sd * widening[day]!),
    scale: expected.map((_, day) => fano * widening[day]! * widening[day]!),
    gone: 0,
  };
}

/** The same course seen when only so much of today, 0 to 1, is still to come. */
export const seenFrom = (course: Widened, restOfToday: number): Widened => ({
  ...course,
  gone: (1 - restOfToday) * (course.expected[0] ?? 0),
});

export const widenings = (widen: Widening, days: number): Float64Array =>
  Float64Array.from({ length: days }, (_, day) => widen(day + 1));

/**
 * Use from now to the end of a day ahead in the world with these two normal figures: a sum whose level is off by so much, and which
 * is lucky by so much. Its luck is a gamma's by the approximation of Wilson and Hilferty (PNAS 17, 1931).
 */
export function useUntil({ expected, levelSd, scale, gone }: Widened, day: number, level: number, luck: number): number {
  const mean = expected[day]! - gone;
  if (mean <= 0) return 0;
  const spread = levelSd[day]!;
  const ofLevel = mean * Math.exp(spread * level - (spread * spread) / 2);
  const unit = scale[day]!;
  if (unit <= 0) return ofLevel;
  const shape = ofLevel / unit;
  const root = 1 - 1 / (9 * shape) + luck / (3 * Math.sqrt(shape));
  return root <= 0 ? 0 : unit * shape * root * root * root;
}

/** The first day ahead (0 = today) by whose end use comes to `left`; infinite beyond the course. 0 where nothing is left. */
export function crossingDay(course: Widened, left: number, level: number, luck: number): number {
  if (left <= 0) return 0;
  const last = course.expected.length - 1;
  if (last < 0 || useUntil(course, last, level, luck) < left) return Number.POSITIVE_INFINITY;
  let [low, high] = [0, last];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (useUntil(course, middle, level, luck) >= left) high = middle;
    else low = middle + 1;
  }
  return low;
}
