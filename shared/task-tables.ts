// Parts and tasks of the workshop file as tables: what wears, what services it, and what that is counted in.
import type { DuckDBConnection } from "@duckdb/node-api";
import { question } from "./question.ts";
import { type Machine, type Part, TASK_UNITS, type Task, type TaskUnit } from "./workshop-schema.ts";
import { writeRows } from "./write-rows.ts";

const partRows = question(import.meta.url, "./config-tables/part.sql");
const taskRows = question(import.meta.url, "./config-tables/task.sql");
const limitRows = question(import.meta.url, "./config-tables/task-limit.sql");

/** Tasks that look and mend nothing, by the first word of their id: what they find is not thereby put right. */
const LOOKING = /^(inspect|check|test|measure|look)(?![\p{L}\p{N}])/u;

export const inspects = (task: Pick<Task, "id">): boolean => LOOKING.test(task.id);

/** The part is new after it: `replace`, or, in a part without such a task, what resets all the others. */
export function renews(part: Pick<Part, "tasks">, task: Pick<Task, "id" | "resets">): boolean {
  if (task.id === "replace") return true;
  if (part.tasks.some(({ id }) => id === "replace")) return false;
  const others = part.tasks.filter(({ id }) => id !== task.id);
  return others.length > 0 && others.every(({ id }) => task.resets.includes(id));
}

const units = Object.keys(TASK_UNITS) as TaskUnit[];

/** Rewrites part, task and task_limit. `instant` gives the instant of a day or time as typed. */
export async function writeTasks(
  connection: DuckDBConnection,
  machines: readonly Machine[],
  instant: (text: string | undefined) => string | null,
): Promise<void> {
  const parts = machines.flatMap((machine) => machine.parts.map((part, ordinal) => ({ machine: machine.id, ordinal, part })));
  const tasks = parts.flatMap(({ machine, part }) => part.tasks.map((task, ordinal) => ({ machine, part, ordinal, task })));
  await writeRows(
    connection,
    "part",
    partRows,
    parts.map(({ machine, ordinal, part }) => ({
      machine,
      part: part.id,
      ordinal,
      name: part.name ?? part.id,
      class: part.class ?? null,
      fitted_at: instant(part.fitted),
      used_low: part.used_at_start?.low ?? null,
      used_best: part.used_at_start?.best ?? null,
      used_high: part.used_at_start?.high ?? null,
      price: part.price ?? null,
      lead_days: part.lead_days ?? null,
      stock: part.stock ?? null,
    })),
  );
  await writeRows(
    connection,
    "task",
    taskRows,
    tasks.map(({ machine, part, ordinal, task }) => ({
      machine,
      part: part.id,
      task: task.id,
      ordinal,
      name: task.name ?? task.id,
      renews: renews(part, task),
      inspects: inspects(task),
      resets: JSON.stringify(task.resets),
      at_most: task.at_most ?? null,
      cost_planned: task.cost_planned ?? null,
      cost_failure: task.cost_failure ?? null,
      isolate: task.isolate ?? null,
      who: task.who ?? null,
      source: task.source ?? null,
      note: task.note ?? null,
      reading_name: task.reading?.name ?? null,
      reading_unit: task.reading?.unit ?? null,
      reading_limit: task.reading?.limit ?? null,
      reading_due: task.reading?.due ?? null,
    })),
  );
  await writeRows(
    connection,
    "task_limit",
    limitRows,
    tasks.flatMap(({ machine, part, task }) =>
      units
        .map((unit) => ({ unit, every: task.every?.[unit] ?? null, first_after: task.first_after?.[unit] ?? null }))
        .filter(({ every, first_after }) => every !== null || first_after !== null)
        .map(({ unit, ...limit }) => ({ machine, part: part.id, task: task.id, basis: unit.replace("_", "-"), ...limit })),
    ),
  );
}
