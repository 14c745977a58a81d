// What the run-hours used of a task are made of, so that one run factor can be believed of the past and of the future at once.
import type { RunFactor } from "../hours/factors.ts";
import type { Count } from "./counts.ts";
import { between, exactly, type Figure, figureOf, less, plus } from "./figures.ts";
import type { RunParts, UseSince } from "./since.ts";

/** Run-hours used = typed + motor + run factor × factored. */
export interface RunUsed extends RunParts {
  /** Run-hours that the workshop file gives for the time before the log. */
  typed: Figure;
  factor: RunFactor | undefined;
}

/** Null where the count never began, or the machine has nothing but a meter. */
export function runUsed(machine: string, count: Count, use: UseSince): RunUsed | null {
  if (count.from === null || count.until === null) {
    if (count.begins !== "start" || count.before?.basis !== "hours") return null;
    const since = use.runParts(machine, null);
    return since && { ...since, typed: figureOf(count.before.used) };
  }
  const since = use.runParts(machine, count.from);
  if (since === null) return null;
  const isSpan = count.from.getTime() !== count.until.getTime();
  const atLeast = isSpan ? use.runParts(machine, count.until) : null;
  let parts: RunParts =
    atLeast === null
      ? since
      : { ...since, motor: between(since.motor, atLeast.motor), factored: between(since.factored, atLeast.factored) };
  for (const { from, until } of count.earlier) {
    const begun = use.runParts(machine, from);
    if (begun === null) continue;
    const ended = until === null ? null : use.runParts(machine, until);
    parts = {
      ...parts,
      motor: plus(parts.motor, ended === null ? begun.motor : less(begun.motor, ended.motor)),
      factored: plus(parts.factored, ended === null ? begun.factored : less(begun.factored, ended.factored)),
    };
  }
  return { ...parts, typed: exactly(0) };
}
