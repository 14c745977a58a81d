// The limit that a decision puts on a task, drawn in every joint world, for whoever works out dates.
import type { DuckDBConnection } from "@duckdb/node-api";
import { generator, seedFrom } from "../forecast/worlds.ts";
import type { LimitDraws } from "../service/due.ts";
import { meanOfFactor } from "../service/figures.ts";
import { keyOf } from "../service/tasks.ts";
import { drawRemainingLives } from "../stats/index.ts";
import { type Decision, loadDecisions } from "./decisions.ts";
import { type LearnedLives, learnedLives } from "./learned.ts";
import { adviceOf } from "./life.ts";

const none: LimitDraws = () => null;

/**
 * Draws, one for each world, of the use since the part was new at which a task is due, in the unit of its interval in the workshop
 * file; null where nobody decided otherwise and that interval stands. A chosen age is the same in every world. A suggested one was
 * learned from badge time: where the run factor has changed since, it moves along, so that its date stays. Left in until it fails
 * or is found worn: the life of the part that is in now, beyond its age, by the posterior; the same seed, the same draws.
 */
export async function loadLimitDraws(
  connection: DuckDBConnection,
  { asOf, zone, worlds, seed }: { asOf: Date; zone: string; worlds: number; seed: number },
): Promise<LimitDraws> {
  const decisions = await loadDecisions(connection, asOf);
  const standing = decisions.all.filter((decision) => decisions.of(decision) === decision && decision.choice !== "set");
  if (standing.length === 0) return none;
  const learned = await learnedLives(connection, { asOf, zone });
  const draws = new Map<string, Float64Array>();
  for (const decision of standing) {
    const limit = limitOf(decision, learned, { worlds, seed });
    if (limit !== null) draws.set(keyOf(decision), limit);
  }
  return (machine, part, task) => draws.get(keyOf({ machine, part, task })) ?? null;
}

function limitOf(
  decision: Decision,
  { all, factors }: LearnedLives,
  { worlds, seed }: { worlds: number; seed: number },
): Float64Array | null {
  const { choice, interval, factor, machine, unit } = decision;
  const one = all.find(({ task }) => keyOf(task) === keyOf(decision));
  // Taken out of the workshop file since, or counted in another unit.
  if (one === undefined || one.unit !== unit) return null;
  if (choice === "own" || choice === "suggested") {
    if (interval === null) return null;
    const now = factors.get(machine);
    const moved =
      choice === "suggested" && factor !== null && now !== undefined ? (interval * meanOfFactor(now)) / factor : interval;
    return new Float64Array(worlds).fill(moved);
  }
  const age = one.lives.find(({ end }) => end === "in-use")?.age;
  if (age === undefined) return null;
  const { life } = adviceOf(one);
  return drawRemainingLives(life, { age, count: worlds, random: generator(seedFrom(keyOf(decision), seed)) }).map(
    (left) => age + left,
  );
}
