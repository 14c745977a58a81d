// Evidence of queues that needs no model of what members would do: what followed when all units had been taken.
import type { Range } from "../../shared/errors.ts";
import { expectedIn } from "./arrivals.ts";
import type { GroupModel } from "./model.ts";
import { rangeOf } from "./wishes.ts";

export interface QueueEvidence {
  /** Turns begun by another person at the end of, or shortly after, a spell in which all units were taken. */
  handOvers: number;
  /** As many would have come by chance. */
  handOversByChance: number;
  /** What is beyond chance: people who waited. */
  excess: Range;
  /** The part of those who came while all was taken that got a turn after a wait; null where nobody is expected to have come. */
  servedShare: number | null;
  /** How much longer (above 1) or shorter (below) turns were that began as a hand-over, as a ratio; null where there are too few. */
  lengthWhenHandedOver: Range | null;
  /** Other groups of the room where more began than chance has it while this one was taken. */
  elsewhere: { group: string; turns: number; byChance: number; excess: Range }[];
}

const fewest = 8;
/** Standard normal quantiles at 90 and 99 %. */
const [at90, at99] = [1.2816, 2.3263];

export function queueEvidence(model: GroupModel, others: readonly GroupModel[]): QueueEvidence {
  const { wishes, cells } = model;
  const counted = cells.handedTurns.reduce((sum, one) => sum + one, 0);
  const excess = rangeOf(
    wishes.handed,
    wishes.draws.map(({ handed }) => handed),
  );
  return {
    handOvers: counted,
    handOversByChance: counted - wishes.handed,
    excess,
    servedShare: wishes.whileFull > 0 ? Math.min(1, Math.max(0, wishes.handed / wishes.whileFull)) : null,
    lengthWhenHandedOver: lengthRatio(model),
    elsewhere: others.flatMap((other) => elsewhere(model, other)),
  };
}

function lengthRatio({ evidence }: GroupModel): Range | null {
  const pooled = (count: "handedTurns" | "freeTurns", mean: "handedMean" | "freeMean", square: "handedSquare" | "freeSquare") => {
    const n = evidence.reduce((sum, row) => sum + row[count], 0);
    if (n === 0) return { n, mean: 0, variance: 0 };
    const average = evidence.reduce((sum, row) => sum + row[count] * row[mean], 0) / n;
    const squares = evidence.reduce((sum, row) => sum + row[count] * row[square], 0) / n;
    return { n, mean: average, variance: Math.max(0, squares - average ** 2) };
  };
  const handed = pooled("handedTurns", "handedMean", "handedSquare");
  const free = pooled("freeTurns", "freeMean", "freeSquare");
  if (handed.n < fewest || free.n < fewest) return null;
  const difference = handed.mean - free.mean;
  const error = Math.sqrt(handed.variance / handed.n + free.variance / free.n);
  return {
    low: Math.exp(difference - at90 * error),
    best: Math.exp(difference),
    high: Math.exp(difference + at90 * error),
  };
}

/** By chance: the other group's own rate over the hours in which this one was taken and the other had a unit free. */
function elsewhere(model: GroupModel, other: GroupModel): QueueEvidence["elsewhere"] {
  const turns = model.elsewhere.reduce((sum, row) => sum + (row.other === other.group ? row.turns : 0), 0);
  if (turns < fewest) return [];
  const { cells } = other;
  const taken = new Map<number, number>();
  for (let i = 0; i < model.cells.month.length; i++)
    taken.set(model.cells.month[i]! * 168 + model.cells.hour[i]!, model.cells.fullHours[i]!);
  const hours = cells.freeHours.map((free, i) => {
    const open = free + cells.fullHours[i]! + cells.windowHours[i]! + cells.lastHours[i]! + cells.outHours[i]!;
    return open > 0 ? ((taken.get(cells.month[i]! * 168 + cells.hour[i]!) ?? 0) * free) / open : 0;
  });
  const byChance = expectedIn(cells, other.wishes.fit, hours).reduce((sum, one) => sum + one, 0);
  const { dispersion, counted } = other.wishes;
  const error = Math.sqrt(turns * dispersion + byChance ** 2 / Math.max(1, counted / dispersion));
  const best = turns - byChance;
  if (best < at99 * error) return [];
  return [{ group: other.group, turns, byChance, excess: { low: best - at90 * error, best, high: best + at90 * error } }];
}
