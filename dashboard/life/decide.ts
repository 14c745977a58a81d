// A volunteer decides how long a part stays in: kept with what was known then.
import { type Choice, type Decision, lifeAnswer, loadDecisions, meanOfFactor, runFactors } from "../../analytics/index.ts";
import { perform, question, UsageError } from "../../shared/index.ts";
import type { Desk } from "../commands/command.ts";
import { entering } from "../service/entry.ts";
import { placeOf } from "../service/place.ts";

const insertDecision = question(import.meta.url, "./insert-decision.sql");

export interface TypedDecision {
  machine: string;
  part?: string | undefined;
  task: string;
  choice: Choice;
  interval?: number | undefined;
  note?: string | undefined;
  by?: string | undefined;
}

/** Keeps a decision. Throws UsageError for a task without lives, an age where none is chosen, a suggestion that there is not. */
export async function decide(desk: Desk, typed: TypedDecision): Promise<Decision> {
  const { connection, span, workshop, surroundings } = desk;
  const place = placeOf(workshop.workshop, typed);
  const { choice, interval, note = null, by = null } = typed;
  const now = new Date();
  const { lives } = await lifeAnswer(connection, { asOf: now, zone: span.zone, ...place });
  const [row] = lives;
  if (row === undefined)
    throw new UsageError({
      field: "task",
      value: typed.task,
      expected: "a task that ends a life: one that renews the part, or that a new part begins anew",
    });
  if ((choice === "own") !== (interval !== undefined))
    throw new UsageError({
      field: "interval",
      value: interval ?? null,
      expected: choice === "own" ? `how many ${row.unit}` : "none, unless the choice is 'own'",
    });
  const suggested = row.interval.advice === "replace" ? (row.interval.hours?.best ?? null) : null;
  if (choice === "suggested" && suggested === null)
    throw new UsageError({
      field: "choice",
      value: choice,
      expected: `own, set, inspect or run-to-failure: the record suggests no age (${row.interval.reason})`,
    });
  const { factors } = await runFactors(connection, { machine: place.machine, asOf: now, zone: span.zone });
  return entering(desk, async () => {
    await perform(connection, insertDecision, {
      ...place,
      at: now,
      choice,
      unit: row.unit,
      every: choice === "own" ? interval! : choice === "suggested" ? suggested : null,
      factor: row.unit === "hours" ? (factors[0] === undefined ? null : meanOfFactor(factors[0])) : null,
      suggested,
      cost: row.interval.costPerHour,
      cost_set: row.interval.costPerHourSet,
      note,
      by,
      who: surroundings.who,
    });
    return (await loadDecisions(connection, now)).of(place)!;
  });
}
