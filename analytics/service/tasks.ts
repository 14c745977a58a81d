// The tasks of the workshop file and the records that count, as the functions of this folder think of them.
import type { DuckDBConnection } from "@duckdb/node-api";
import type { Range } from "../../shared/errors.ts";
import { ask, question } from "../../shared/question.ts";

const tasksQuestion = question(import.meta.url, "./tasks.sql");
const recordsQuestion = question(import.meta.url, "./records.sql");

export type UseBasis = "hours" | "load-hours" | "starts" | "days" | "use-days" | "cycles";

export interface Limit {
  basis: UseBasis;
  every: number | null;
  firstAfter: number | null;
}

export interface Task {
  machine: string;
  machineName: string;
  hazard: "high" | "medium" | "low";
  kind: "stations" | "driven" | "always-on" | "meter";
  part: string;
  partName: string;
  class: string | null;
  task: string;
  taskName: string;
  /** The part is new after it. */
  renews: boolean;
  /** It looks and mends nothing. */
  inspects: boolean;
  resets: string[];
  atMost: number | null;
  isolate: string | null;
  who: string | null;
  source: string | null;
  note: string | null;
  costPlanned: number | null;
  costFailure: number | null;
  price: number | null;
  leadDays: number | null;
  stock: number | null;
  fittedAt: Date | null;
  /** Use when the log begins, in the part's own unit. */
  usedAtStart: Range | null;
  reading: { name: string; unit: string | null; limit: number; due: "above" | "below" } | null;
  limits: Limit[];
}

export interface ServiceRecord {
  id: number;
  machine: string;
  part: string;
  task: string;
  doneAt: Date;
  /** Done some time between the two; null: at `doneAt`. */
  doneUntil: Date | null;
  found: "good" | "worn" | "failed" | "damaged" | "unknown";
  why: string | null;
  readings: Record<string, number>;
  serial: string | null;
}

type TaskRow = Omit<Task, "resets" | "limits" | "usedAtStart" | "reading"> & {
  resets: string;
  usedLow: number | null;
  usedBest: number | null;
  usedHigh: number | null;
  readingName: string | null;
  readingUnit: string | null;
  readingLimit: number | null;
  readingDue: "above" | "below" | null;
  basis: UseBasis | null;
  every: number | null;
  firstAfter: number | null;
};

/** Every task of the workshop file, in its order. */
export async function loadTasks(connection: DuckDBConnection): Promise<Task[]> {
  const tasks = new Map<string, Task>();
  for (const row of await ask<TaskRow>(connection, tasksQuestion)) {
    const { usedLow, usedBest, usedHigh, readingName, readingUnit, readingLimit, readingDue, basis, every, firstAfter, ...rest } =
      row;
    const key = keyOf(row);
    const task = tasks.get(key) ?? {
      ...rest,
      resets: JSON.parse(row.resets) as string[],
      usedAtStart: usedBest === null ? null : { low: usedLow ?? usedBest, best: usedBest, high: usedHigh ?? usedBest },
      reading:
        readingName === null || readingLimit === null
          ? null
          : { name: readingName, unit: readingUnit, limit: readingLimit, due: readingDue ?? "above" },
      limits: [],
    };
    if (basis !== null) task.limits.push({ basis, every, firstAfter });
    tasks.set(key, task);
  }
  return [...tasks.values()];
}

/** Every record that counts and was known at `asOf`, in order of time. */
export async function loadRecords(connection: DuckDBConnection, asOf: Date): Promise<ServiceRecord[]> {
  const rows = await ask<Omit<ServiceRecord, "readings"> & { readings: string | null }>(connection, recordsQuestion, {
    as_of: asOf,
  });
  return rows.map((row) => ({ ...row, readings: row.readings === null ? {} : JSON.parse(row.readings) }));
}

export const keyOf = ({ machine, part, task }: { machine: string; part: string; task: string }): string =>
  JSON.stringify([machine, part, task]);
export const partKeyOf = ({ machine, part }: { machine: string; part: string }): string => JSON.stringify([machine, part]);
