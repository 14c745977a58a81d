// Which stations had a week with more of something than chance gives at the shop's own rate.
import { countTails } from "../../stats/count-tails.ts";
import { falseDiscovery } from "../../stats/false-discovery.ts";

export interface Cell {
  /** Sessions of the week. */
  sessions: number;
  /** How many of them had it. */
  count: number;
}

export interface Rate {
  /** Per session. */
  rate: number;
  /** What the variance of a week's count has beyond Poisson's, in units of the squared mean. */
  overdispersion: number;
}

export interface Judged<One> {
  weeks: (One & { tail: number; expected: number })[];
  shop: Rate;
  threshold: number;
  /** Flags to expect though nothing is wrong, over the cells for which `isIn` holds. */
  expectedFalse: number;
}

/** Weeks of a station that come further out than this have no say in what the shop's rate is. */
const LEFT_OUT = 1e-3;
const FAR_OUT = 1e-5;
const FEWEST_FOR_SCATTER = 30;
const ROUNDS = 8;
/** One week of a station in so many has real trouble, as a rule. */
const USUAL_SHARE = 1 / 200;
/** A single one is only counted. */
const FEWEST = 2;

/**
 * The shop's own rate and scatter from its ordinary weeks. First those that no scatter explains go out (beyond FAR_OUT as Poisson
 * counts, the rate found anew each time); then scatter is let in and weeks beyond LEFT_OUT with it go out until none goes or comes
 * back. Half an event is added, so that a shop that never had one does not flag its first. The scatter is by moments (Johnson, Kemp
 * & Kotz 2005, 5.8.2), 0 where weeks vary as Poisson counts do or less.
 */
export function shopRate(cells: readonly Cell[]): Rate {
  let kept = cells;
  let found: Rate = { rate: 0, overdispersion: 0 };
  for (const [isScattered, farthest] of [
    [false, FAR_OUT],
    [true, LEFT_OUT],
  ] as const) {
    for (let round = 0; round < ROUNDS; round++) {
      found = rateOf(kept, isScattered);
      const next = cells.filter(({ count, sessions }) => count < FEWEST || tailOf(count, sessions, found) > farthest);
      const isSame = next.length === kept.length;
      kept = next;
      if (isSame) break;
    }
  }
  return found;
}

function rateOf(cells: readonly Cell[], isScattered: boolean): Rate {
  const events = cells.reduce((sum, { count }) => sum + count, 0);
  const rate = (events + 0.5) / (cells.reduce((sum, { sessions }) => sum + sessions, 0) + 1);
  // Too few events to tell scatter from chance: weeks with one or none say nothing of it.
  if (!isScattered || events < FEWEST_FOR_SCATTER) return { rate, overdispersion: 0 };
  let beyond = 0;
  let squares = 0;
  let byChance = 0;
  for (const { count, sessions } of cells) {
    const mean = rate * sessions;
    beyond += (count - mean) ** 2 - mean;
    squares += mean ** 2;
    byChance += mean + 2 * mean ** 2;
  }
  // Half a standard error of what chance alone gives, so that it seldom passes for scatter.
  return { rate, overdispersion: Math.max(0, (beyond - Math.sqrt(byChance) / 2) / squares) };
}

const tailOf = (count: number, sessions: number, { rate, overdispersion }: Rate): number =>
  countTails({ count, mean: rate * sessions, overdispersion }).upper;

/** Flags at that rate of false discoveries, and how many of them chance alone would raise, exactly, counts being whole. */
export function tooMany<One extends Cell>(
  cells: readonly One[],
  { rate, isIn = () => true }: { rate: number; isIn?: ((cell: One) => boolean) | undefined },
): Judged<One> {
  const shop = shopRate(cells);
  const tails = new Map<string, number>();
  const tail = (count: number, sessions: number): number => {
    const key = `${count} ${sessions}`;
    const known = tails.get(key) ?? tailOf(count, sessions, shop);
    tails.set(key, known);
    return known;
  };
  const judged = cells
    .filter(({ count }) => count >= FEWEST)
    .map((cell) => ({ ...cell, tail: tail(cell.count, cell.sessions), expected: shop.rate * cell.sessions }));
  const { threshold } = falseDiscovery(
    judged.map((cell) => cell.tail),
    { rate, tests: Math.max(1, cells.length), usualShare: USUAL_SHARE },
  );
  const chances = new Map<number, number>();
  let expectedFalse = 0;
  for (const cell of cells) {
    if (!isIn(cell)) continue;
    const { sessions } = cell;
    let chance = chances.get(sessions);
    if (chance === undefined) {
      let count = FEWEST;
      while (tail(count, sessions) > threshold) count++;
      chance = tail(count, sessions);
      chances.set(sessions, chance);
    }
    expectedFalse += chance;
  }
  return { weeks: judged.filter((cell) => cell.tail <= threshold), shop, threshold, expectedFalse };
}
