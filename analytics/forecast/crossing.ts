// On which day ahead use adds up to what is left: each world follows one path of use, never falling, as a share of the expected course.
import type { Course } from "./fit.ts";

/** How wide past forecasts should have been, by how many days ahead; 1 as they were. */
export type Widening = (daysAhead: number) => number;

export const asIs: Widening = () => 1;

/**
 * Use from now to the end of a day ahead in the world with these two normal figures: a sum whose level is off by so much, and which
 * is lucky by so much. Its luck is a gamma's by the approximation of Wilson and Hilferty (PNAS 17, 1931).
 */
export function useUntil({ expected, levelSd, fano }: Course, day: number, level: number, luck: number, widen: Widening): number {
  const mean = expected[day]!;
  if (mean <= 0) return 0;
  const wide = widen(day + 1);
  const spread = levelSd[day]! * wide;
  const scale = fano * wide * wide;
  const ofLevel = mean * Math.exp(spread * level - (spread * spread) / 2);
  if (scale <= 0) return ofLevel;
  const shape = ofLevel / scale;
  const root = 1 - 1 / (9 * shape) + luck / (3 * Math.sqrt(shape));
  return root <= 0 ? 0 : scale * shape * root ** 3;
}

/** The first day ahead (0 = today) by whose end use comes to `left`; infinite beyond the course. 0 where nothing is left. */
export function crossingDay(course: Course, left: number, level: number, luck: number, widen: Widening = asIs): number {
  if (left <= 0) return 0;
  const last = course.expected.length - 1;
  if (last < 0 || useUntil(course, last, level, luck, widen) < left) return Number.POSITIVE_INFINITY;
  let [low, high] = [0, last];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (useUntil(course, middle, level, luck, widen) >= left) high = middle;
    else low = middle + 1;
  }
  return low;
}
