// The ledger: every window kept as it was issued, once a week, and what came of it. What is written stays: nobody can make a past
// window look better.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question } from "../../shared/question.ts";
import { isoFromDate } from "../../shared/relation.ts";
import { dayAfter } from "../../shared/times.ts";
import { localDays } from "../forecast/local-days.ts";
import { daysBetween, type ForecastBasis, loadPast, type ShopPast } from "../forecast/past.ts";
import { useOf } from "../forecast/shop.ts";
import { keepWidths, widthsOf } from "../forecast/widths.ts";
import { loadLimitDraws } from "../life/limits.ts";
import { byName, type DueTask, dueTasks } from "./due.ts";

const lastIssued = question(import.meta.url, "./last-issued.sql");
const keepWindowsQuestion = question(import.meta.url, "./keep-windows.sql");
const openWindows = question(import.meta.url, "./open-windows.sql");
const keepOutcomes = question(import.meta.url, "./keep-outcomes.sql");
const ledgerQuestion = question(import.meta.url, "./ledger.sql");

const EVERY_DAYS = 7;
/** A window of which nothing came in two years is left open. */
const OLDEST_DAYS = 730;
const LEDGER_DAYS = 365;

export interface LedgerAsked {
  asOf: Date;
  /** IANA name of the workshop's time zone. */
  zone: string;
  seed: number;
}

/**
 * Once a week, in the caller's transaction: works out how wide windows should be, issues the windows of this week, and notes what
 * came of older ones. Null where a week has not passed, or no task counts anything that is used.
 */
export async function keepLedger(
  connection: DuckDBConnection,
  { asOf, zone, seed }: LedgerAsked,
): Promise<{ issued: number; settled: number } | null> {
  const [last] = await ask<{ day: string | null; lastWindow: number; hasLimits: boolean }>(connection, lastIssued);
  if (!last!.hasLimits) return null;
  const today = (await localDays(connection, zone, [asOf.toISOString()]))(asOf.toISOString());
  if (last!.day !== null && today < dayAfter(last!.day, EVERY_DAYS)) return null;
  const { past, restOfToday } = await loadPast(connection, { asOf, zone });
  await keepWidths(connection, widthsOf(past), today);
  const limitDraws = await loadLimitDraws(connection, { asOf, zone, worlds: 200, seed });
  const { tasks } = await dueTasks(connection, { asOf, zone, seed, limitDraws });
  const rows = tasks.flatMap(windowOfTask);
  await perform(connection, keepWindowsQuestion, {
    issued_at: asOf,
    issued_day: today,
    rest_of_day: restOfToday,
    first: last!.lastWindow + 1,
    rows: JSON.stringify(rows),
  });
  const settled = await settledNow(connection, past);
  await perform(connection, keepOutcomes, { noted_at: asOf, rows: JSON.stringify(settled) });
  return { issued: rows.length, settled: settled.length };
}

/** Of the limit expected first, where use decides it; what is overdue or found worn has no window any more. */
function windowOfTask(task: DueTask) {
  const { basis, state, machine, part, task: name, lastDone } = task;
  if (basis === null || basis === "days" || basis === "reading" || state === "overdue" || state === "unknown") return [];
  const by = task[byName[basis]];
  if (by === null || by.used.best === null || by.used.best >= by.interval || by.due === null || by.due.early === null) return [];
  const { early, median, late } = by.due;
  return [{ machine, part, task: name, basis, used: by.used.best, interval: by.interval, begun: lastDone, early, median, late }];
}

async function settledNow(connection: DuckDBConnection, past: ShopPast): Promise<{ windowId: number; day: string }[]> {
  const open = await ask<{
    windowId: number;
    machine: string;
    basis: ForecastBasis;
    issuedDay: string;
    restOfDay: number;
    left: number;
  }>(connection, openWindows, { oldest: dayAfter(past.today, -OLDEST_DAYS), today: past.today });
  const uses = new Map<string, Float64Array>();
  return open.flatMap(({ windowId, machine, basis, issuedDay, restOfDay, left }) => {
    const own = past.machines.find((one) => one.machine === machine);
    if (own === undefined) return [];
    const key = `${basis} ${machine}`;
    const use = uses.get(key) ?? useOf(own, basis);
    uses.set(key, use);
    const day = crossedOn(use, daysBetween(past.firstDay, issuedDay), restOfDay, left);
    return day === null ? [] : [{ windowId, day: dayAfter(past.firstDay, day) }];
  });
}

/** The day by whose end use since a moment of day `issued` came to `left`, `restOfDay` of that day being still to come then. */
export function crossedOn(use: ArrayLike<number>, issued: number, restOfDay: number, left: number): number | null {
  let sum = 0;
  for (let day = Math.max(0, issued); day < use.length; day++) {
    sum += use[day]! * (day === issued ? restOfDay : 1);
    if (sum >= left) return day;
  }
  return null;
}

export interface LedgerRow {
  windowId: number;
  issuedAt: Date;
  machine: string;
  part: string;
  task: string;
  basis: ForecastBasis;
  used: number;
  interval: number;
  early: string | null;
  median: string | null;
  late: string | null;
  crossed: string | null;
  doneAt: Date | null;
  result: "held" | "missed" | "open";
}

export interface Ledger {
  asOf: string;
  /** The first local day of what is counted. */
  since: string;
  issued: number;
  /** Windows whose last day is over, and those of them that held. */
  settled: number;
  held: number;
  words: string;
  windows: (Omit<LedgerRow, "issuedAt" | "doneAt"> & { issuedAt: string; doneAt: string | null })[];
}

/** The windows of the last year and what came of them, newest last. */
export async function ledger(connection: DuckDBConnection, { asOf, zone }: Omit<LedgerAsked, "seed">): Promise<Ledger> {
  const today = (await localDays(connection, zone, [asOf.toISOString()]))(asOf.toISOString());
  const since = dayAfter(today, -LEDGER_DAYS);
  const rows = await ask<LedgerRow>(connection, ledgerQuestion, { since, today, as_of: asOf });
  // A window counts when its last day is over, not when its task was: those that end early would be counted too soon.
  const over = rows.filter(({ late }) => late !== null && late < today);
  const settled = over.length;
  const held = over.filter(({ result }) => result === "held").length;
  return {
    asOf: isoFromDate(asOf),
    since,
    issued: rows.length,
    settled,
    held,
    words: wordsOf(rows.length, settled, held),
    windows: rows.map((row) => ({
      ...row,
      issuedAt: isoFromDate(row.issuedAt),
      doneAt: row.doneAt === null ? null : isoFromDate(row.doneAt),
    })),
  };
}

function wordsOf(issued: number, settled: number, held: number): string {
  if (issued === 0) return "no window has been issued yet; one is kept for each task once a week";
  if (settled === 0) return `${issued} windows issued in the last year; none of them is over yet`;
  return `in the last year ${held} of ${settled} of our windows held; four in five is meant`;
}
