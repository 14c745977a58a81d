// The one reading worth having: what somebody could read or say this week that would narrow the most windows.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, question } from "../../shared/question.ts";
import { isoFromDate } from "../../shared/relation.ts";
import { runFactors } from "../hours/factors.ts";
import { type DueTask, dueTasks, type LimitDraws } from "../service/due.ts";

const metersQuestion = question(import.meta.url, "./meters.sql");

export interface Asking {
  /** `meter`: the hour meter of a machine · `reading`: a value that a task goes by · `last-done`: when a task was last done. */
  kind: "meter" | "reading" | "last-done";
  machine: string;
  machineName: string;
  part: string | null;
  task: string | null;
  /** What to do, in words. */
  text: string;
  /** Days by which windows are expected to be narrower, all together, and how many would be. */
  daysNarrower: number;
  windows: number;
}

export interface AskingAnswer {
  asOf: string;
  /** Null where nothing that anybody could read would change a window by a day. */
  asked: Asking | null;
  others: Asking[];
}

// A window that nobody can tell is as wide as the year; about two months is what one is once somebody has said.
const UNKNOWN_DAYS = 365;
const ONCE_SAID_DAYS = 60;
/** A window that runs beyond the reach of the forecast counts as this wide at most. */
const WIDEST_DAYS = 365;
const WORTH_DAYS = 1;

/**
 * Everything that could be read or said, most worth first. A reading of the hour meter makes the run factor known: each window of
 * the machine is worked out again with it known, and what it loses in width is what the reading is worth; a well made window's
 * expected interval score goes with its width. Only machines that have shown a meter before are asked for one. A value that a task
 * goes by narrows its window about as one more reading does, √(n/(n + 1)).
 */
export async function askingAnswer(
  connection: DuckDBConnection,
  { asOf, zone, seed, limitDraws }: { asOf: Date; zone: string; seed: number; limitDraws?: LimitDraws | undefined },
): Promise<AskingAnswer> {
  const now = await dueTasks(connection, { asOf, zone, seed, limitDraws });
  const { factors } = await runFactors(connection, { asOf, zone });
  const metered = new Set(
    (await ask<{ machine: string }>(connection, metersQuestion, { as_of: asOf })).map(({ machine }) => machine),
  );
  // A factor that motor events tell, or that somebody fixed, is not made known by a meter.
  const unsure = new Set(
    factors.filter(({ source }) => ["typed", "assumed", "meter"].includes(source)).map(({ machine }) => machine),
  );
  const typed = new Map(now.tasks.map((task) => [nameOf(task), task.byHours?.interval ?? null]));
  // Limits in the machine's own hours are held against use as it is, whatever the factor: as if it were known.
  const known = await dueTasks(connection, {
    asOf,
    zone,
    seed,
    limitDraws: (machine, part, task) => {
      const chosen = limitDraws?.(machine, part, task) ?? null;
      const interval = typed.get(JSON.stringify([machine, part, task])) ?? null;
      return chosen ?? (interval === null ? null : [interval]);
    },
  });
  const narrower = new Map(known.tasks.map((task, i) => [nameOf(task), Math.max(0, widthOf(now.tasks[i]!) - widthOf(task))]));
  const all = [...metersOf(now.tasks, metered, unsure, narrower), ...valuesOf(now.tasks), ...unknownOf(now.tasks)]
    .filter(({ daysNarrower }) => daysNarrower >= WORTH_DAYS)
    .sort((a, b) => b.daysNarrower - a.daysNarrower || a.machine.localeCompare(b.machine));
  return { asOf: isoFromDate(asOf), asked: all[0] ?? null, others: all.slice(1) };
}

const nameOf = ({ machine, part, task }: Pick<DueTask, "machine" | "part" | "task">): string =>
  JSON.stringify([machine, part, task]);

/** Days from the 10 to the 90 % point of a window; 0 of what is due whatever anybody reads. */
export function widthOf({ state, due: { early, late } }: Pick<DueTask, "state" | "due">): number {
  if (state === "overdue" || state === "unknown") return 0;
  if (early === null) return 0;
  if (late === null) return WIDEST_DAYS;
  return Math.min(WIDEST_DAYS, (Date.parse(`${late}T00:00:00Z`) - Date.parse(`${early}T00:00:00Z`)) / 86_400_000);
}

function metersOf(
  tasks: readonly DueTask[],
  metered: ReadonlySet<string>,
  unsure: ReadonlySet<string>,
  narrower: ReadonlyMap<string, number>,
): Asking[] {
  return [...new Set(tasks.map(({ machine }) => machine))].flatMap((machine): Asking[] => {
    if (!metered.has(machine) || !unsure.has(machine)) return [];
    const own = tasks.filter((task) => task.machine === machine).map((task) => narrower.get(nameOf(task)) ?? 0);
    const { machineName } = tasks.find((task) => task.machine === machine)!;
    return [
      {
        kind: "meter",
        machine,
        machineName,
        part: null,
        task: null,
        text: `read the hour meter of ${machineName}`,
        daysNarrower: own.reduce((sum, days) => sum + days, 0),
        windows: own.filter((days) => days >= WORTH_DAYS).length,
      },
    ];
  });
}

const valuesOf = (tasks: readonly DueTask[]): Asking[] =>
  tasks.flatMap((task): Asking[] => {
    const { reading } = task;
    if (reading === null || task.basis !== "reading" || task.state === "overdue") return [];
    const more = 1 - Math.sqrt(reading.readings / (reading.readings + 1));
    return [
      {
        kind: "reading",
        machine: task.machine,
        machineName: task.machineName,
        part: task.part,
        task: task.task,
        text: `read ${reading.name} of ${task.machineName}, ${task.partName}`,
        daysNarrower: widthOf(task) * more,
        windows: 1,
      },
    ];
  });

const unknownOf = (tasks: readonly DueTask[]): Asking[] =>
  tasks.flatMap((task): Asking[] =>
    task.state !== "unknown"
      ? []
      : [
          {
            kind: "last-done",
            machine: task.machine,
            machineName: task.machineName,
            part: task.part,
            task: task.task,
            text: `say when ${task.taskName} was last done on ${task.machineName}, ${task.partName}, about, and how it was found`,
            daysNarrower: UNKNOWN_DAYS - ONCE_SAID_DAYS,
            windows: 1,
          },
        ],
  );
