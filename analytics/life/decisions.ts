// What volunteers decided about how long a part stays in. The last word on a task counts; the earlier ones stay.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, question } from "../../shared/question.ts";
import { isoFromDate } from "../../shared/relation.ts";
import { keyOf, type UseBasis } from "../service/tasks.ts";

const decisionsQuestion = question(import.meta.url, "./decisions.sql");

/**
 * `suggested`: replace at the age the record suggested; `own`: at one of the volunteer's own; `set`: stay with the workshop file's;
 * `inspect`, `run-to-failure`: leave it in until somebody finds it at its end, or it fails.
 */
export const CHOICES = ["suggested", "own", "set", "inspect", "run-to-failure"] as const;
export type Choice = (typeof CHOICES)[number];

export interface Decision {
  id: number;
  machine: string;
  part: string;
  task: string;
  choice: Choice;
  unit: UseBasis;
  /** In the unit; null where no age was chosen. */
  interval: number | null;
  /** The run factor that the hours rested on; null in other units. */
  factor: number | null;
  suggested: number | null;
  costPerHour: number | null;
  costPerHourSet: number | null;
  note: string | null;
  by: string | null;
  time: string;
}

export interface Decisions {
  all: Decision[];
  of(task: { machine: string; part: string; task: string }): Decision | null;
}

export async function loadDecisions(connection: DuckDBConnection, asOf: Date): Promise<Decisions> {
  const rows = await ask<Omit<Decision, "time"> & { time: Date }>(connection, decisionsQuestion, { as_of: asOf });
  const all = rows.map((row): Decision => ({ ...row, time: isoFromDate(row.time) }));
  const latest = new Map<string, Decision>();
  for (const decision of all) if (!latest.has(keyOf(decision))) latest.set(keyOf(decision), decision);
  return { all, of: (task) => latest.get(keyOf(task)) ?? null };
}
