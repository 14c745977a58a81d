// The trail: who saw member data and who changed what. Rows are only added; the seals show where one was changed or taken out.
import { createHash } from "node:crypto";
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question } from "../../shared/question.ts";

const lastOfTrail = question(import.meta.url, "./questions/last-of-trail.sql");
const addToTrail = question(import.meta.url, "./questions/add-to-trail.sql");
const sealAnew = question(import.meta.url, "./questions/seal-anew.sql");
const wholeTrail = question(import.meta.url, "./questions/trail.sql");

export type Act = "saw" | "changed" | "signed-in" | "signed-out" | "refused";

export interface Step {
  who: string;
  act: Act;
  what: string;
  detail?: Record<string, unknown>;
}

export interface TrailRow extends Step {
  entry: number;
  at: Date;
  detail: Record<string, unknown>;
  seal: string;
}

/** Adds a row, in the caller's transaction; call it in turn, since each seal hangs on the one before. */
export async function noteOnTrail(connection: DuckDBConnection, { who, act, what, detail = {} }: Step, now: Date): Promise<void> {
  const [last] = await ask<{ entry: number; seal: string }>(connection, lastOfTrail);
  const row = { entry: (last?.entry ?? 0) + 1, at: now, who, act, what, detail };
  const text = JSON.stringify(detail);
  await perform(connection, addToTrail, { ...row, detail: text, seal: sealOf(row, text, last?.seal ?? "") });
}

const sealOf = ({ entry, at, who, act, what }: Omit<TrailRow, "seal" | "detail">, detail: string, before: string): string =>
  createHash("sha256")
    .update(JSON.stringify([entry, at.toISOString(), who, act, what, detail, before]))
    .digest("hex");

interface StoredRow {
  entry: number;
  at_time: Date;
  who: string;
  act: Act;
  what: string;
  detail: string;
  seal: string;
}

/** The whole trail in order, and the first entry whose seal is broken (null: none is). Rows cut off its end leave no mark. */
export async function loadTrail(connection: DuckDBConnection): Promise<{ rows: TrailRow[]; brokenAt: number | null }> {
  const stored = await ask<StoredRow>(connection, wholeTrail);
  let before = "";
  let brokenAt: number | null = null;
  for (const [i, row] of stored.entries()) {
    const isWhole = row.entry === i + 1 && row.seal === sealOf({ ...row, at: row.at_time }, row.detail, before);
    if (!isWhole) brokenAt ??= i + 1;
    before = row.seal;
  }
  const rows = stored.map(({ at_time, detail, ...row }) => ({
    ...row,
    at: at_time,
    detail: JSON.parse(detail) as Record<string, unknown>,
  }));
  return { rows, brokenAt };
}

/** Seals all of the trail anew after a change that the trail itself tells of, in the caller's transaction. */
export async function resealTrail(connection: DuckDBConnection): Promise<void> {
  let before = "";
  for (const row of await ask<StoredRow>(connection, wholeTrail)) {
    const seal = sealOf({ ...row, at: row.at_time }, row.detail, before);
    if (seal !== row.seal) await perform(connection, sealAnew, { entry: row.entry, seal });
    before = seal;
  }
}

/** Options that say what was looked at without saying at whom; no other goes on the trail. */
const telling = new Set([
  "by",
  "machine",
  "group",
  "room",
  "rule",
  "state",
  "part",
  "task",
  "since",
  "until",
  "asOf",
  "days",
  "all",
]);

export const tellingOptions = (options: Record<string, unknown>): Record<string, unknown> =>
  Object.fromEntries(Object.entries(options).filter(([name, value]) => telling.has(name) && value !== undefined));
