// What the record says of how long parts last: every life of every task that ends one, in the part's own unit, with the belief it
// meets. One set-based pass over the machines' use, whatever the number of records.
import type { DuckDBConnection } from "@duckdb/node-api";
import { inTurn } from "../hours/asked.ts";
import type { RunFactor } from "../hours/factors.ts";
import { runFactors } from "../hours/factors.ts";
import { ownUnit } from "../service/counts.ts";
import { type Point, type UseAsked, type UseSince, useSince } from "../service/since.ts";
import { loadRecords, loadTasks, partKeyOf, type ServiceRecord, type Task, type UseBasis } from "../service/tasks.ts";
import { type LifePrior, priorFor } from "../stats/index.ts";
import { type Aged, agedLives, lifespansOf, type UseSinceInstant } from "./lives.ts";

export interface Learned {
  task: Task;
  siblings: Task[];
  records: ServiceRecord[];
  /** `part`: from one renewal to the next; `edge`: from one sharpening to the next. */
  of: "part" | "edge";
  unit: UseBasis;
  setInterval: number | null;
  lives: Aged[];
  leftOut: number;
  prior: LifePrior;
}

export interface LearnedLives {
  all: Learned[];
  tasks: Task[];
  records: ServiceRecord[];
  use: UseSince;
  factors: Map<string, RunFactor>;
  /** Use of a machine since an instant by a basis. */
  since(machine: string, unit: UseBasis): UseSinceInstant;
}

export interface LearnedAsked extends UseAsked {
  machine?: string | undefined;
  part?: string | undefined;
  task?: string | undefined;
}

/** Tasks that have lives: those that renew the part, and those that mend it and that something else begins anew. */
export function hasLives(task: Task, siblings: readonly Task[]): boolean {
  if (task.inspects || task.limits.length === 0) return false;
  return task.renews || siblings.some(({ task: other, resets }) => other !== task.task && resets.includes(task.task));
}

// How many edges a part has where nobody said how often it may be sharpened.
const USUAL_EDGES = 4;
// From so many ends on, a belief in run-hours gives way wholly where run-hours are badge time times a factor that nobody measured.
const ENOUGH_ENDS = 3;
const NO_BELIEF = 3;

export async function learnedLives(connection: DuckDBConnection, asked: LearnedAsked): Promise<LearnedLives> {
  const { asOf, zone, rollups, machine, part, task: only } = asked;
  const { tasks, records } = await inTurn(connection, async () => ({
    tasks: (await loadTasks(connection)).filter((task) => machine === undefined || task.machine === machine),
    records: (await loadRecords(connection, asOf)).filter((record) => machine === undefined || record.machine === machine),
  }));
  const byPart = grouped(tasks);
  const recordsByPart = grouped(records);
  const wanted = tasks.filter(
    (task) =>
      (part === undefined || task.part === part) &&
      (only === undefined || task.task === only) &&
      hasLives(task, byPart.get(partKeyOf(task))!),
  );
  const points = pointsOf(wanted, byPart, recordsByPart, tasks, asOf);
  const use = await useSince(connection, { asOf, zone, rollups }, points);
  const { factors } = await runFactors(connection, { machine, asOf, zone });
  const factorOf = new Map(factors.map((factor) => [factor.machine, factor]));
  const since = (ofMachine: string, unit: UseBasis): UseSinceInstant => {
    const seen = new Map<number, number | null>();
    return (at) => {
      const known = seen.get(at.getTime());
      if (known !== undefined) return known;
      const figure = use.since(ofMachine, at)[unit];
      const best = figure === undefined || !Number.isFinite(figure.above) ? null : figure.best;
      seen.set(at.getTime(), best);
      return best;
    };
  };
  const all = wanted.map((task): Learned => {
    const siblings = byPart.get(partKeyOf(task))!;
    const own = recordsByPart.get(partKeyOf(task)) ?? [];
    const unit = task.renews ? (ownUnit(siblings) ?? task.limits[0]!.basis) : task.limits[0]!.basis;
    const known = use.knownFrom(task.machine);
    const { lives, leftOut } = agedLives(lifespansOf(task, siblings, own, known), since(task.machine, unit), {
      known,
      isByClock: unit === "days" || task.kind === "always-on",
      usedAtStart: task.renews ? (task.usedAtStart?.best ?? null) : null,
    });
    return {
      task,
      siblings,
      records: own,
      of: task.renews ? "part" : "edge",
      unit,
      setInterval: task.limits.find(({ basis }) => basis === unit)?.every ?? null,
      lives,
      leftOut,
      prior: beliefOf(task, siblings, unit, lives, factorOf.get(task.machine)),
    };
  });
  return { all, tasks, records, use, factors: factorOf, since };
}

/** Every instant at which a life begins, ends or was looked at; repairs of the machine are among them. */
function pointsOf(
  wanted: readonly Task[],
  byPart: ReadonlyMap<string, Task[]>,
  recordsByPart: ReadonlyMap<string, ServiceRecord[]>,
  tasks: readonly Task[],
  asOf: Date,
): Point[] {
  const byUseDays = new Set(
    wanted
      .filter((task) => byPart.get(partKeyOf(task))!.some(({ limits }) => limits.some(({ basis }) => basis === "use-days")))
      .map(partKeyOf),
  );
  const points = new Map<string, Point>();
  for (const task of tasks) {
    const isByUseDays = byUseDays.has(partKeyOf(task));
    const instants = [
      asOf,
      ...(task.fittedAt === null ? [] : [task.fittedAt]),
      ...(recordsByPart.get(partKeyOf(task)) ?? []).flatMap(({ doneAt, doneUntil }) =>
        doneUntil === null ? [doneAt] : [doneAt, doneUntil],
      ),
    ];
    for (const from of instants) {
      const key = `${from.getTime()} ${task.machine}`;
      const known = points.get(key);
      if (known === undefined) points.set(key, { machine: task.machine, from, isByUseDays });
      else if (isByUseDays) known.isByUseDays = true;
    }
  }
  return [...points.values()];
}

function grouped<T extends { machine: string; part: string }>(items: readonly T[]): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const item of items) {
    const group = groups.get(partKeyOf(item));
    if (group === undefined) groups.set(partKeyOf(item), [item]);
    else group.push(item);
  }
  return groups;
}

/**
 * The belief about a class is that of one edge where such a part is sharpened; the part itself lasts as many edges as it has.
 * Run-hours of a machine whose factor was typed may be wrong by that factor throughout, lives and use alike: once its own lives
 * tell enough, the belief's hours must not pull against them, else a wrong factor would move a learned date.
 */
function beliefOf(
  { class: partClass, renews }: Task,
  siblings: readonly Task[],
  unit: UseBasis,
  lives: readonly Aged[],
  factor: RunFactor | undefined,
): LifePrior {
  const prior = priorFor(partClass, unit);
  const edges = renews ? siblings.find((task) => !task.renews && !task.inspects && hasLives(task, siblings)) : undefined;
  const many = edges === undefined || !prior.isOwn ? 1 : (edges.atMost ?? USUAL_EDGES) + 1;
  const ends = lives.filter(({ end }) => end === "failed" || end === "worn").length;
  const isLoose = unit === "hours" && (factor?.source === "typed" || factor?.source === "assumed") && ends >= ENOUGH_ENDS;
  return {
    ...prior,
    scale: { median: prior.scale.median * many, logSd: isLoose ? Math.max(prior.scale.logSd, NO_BELIEF) : prior.scale.logSd },
    source: [
      prior.source,
      ...(many > 1 ? [`times its ${many} edges`] : []),
      ...(isLoose ? ["its hours count for next to nothing here: run-hours rest on a run factor that nobody measured"] : []),
    ].join("; "),
  };
}
