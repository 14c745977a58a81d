// How wide windows should have been: worked out once a week from forecasts as they would have been made on past days, and kept.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question } from "../../shared/question.ts";
import { dayAfter } from "../../shared/times.ts";
import type { ShopPast } from "./past.ts";
import { originsBack, rolledCourses, runningSums, surprisesAt } from "./rolling.ts";
import { CHECKED_DAYS, type OwnWidth, type Surprise, type Width, type Widths, widthsFrom } from "./surprise.ts";

const widthsQuestion = question(import.meta.url, "./widths.sql");
const keepQuestion = question(import.meta.url, "./keep-widths.sql");

const STEP_DAYS = 28;
const MOST_ORIGINS = 26;
/** Weekly notes that are older than this were left behind: a log that came late. */
const OLDEST_DAYS = 35;

/** Pure: from the past up to today, and nothing after it. */
export function widthsOf(past: ShopPast): Widths {
  const sums = runningSums(past, "hours");
  const origins = originsBack(past.todayIndex - CHECKED_DAYS[0], STEP_DAYS).slice(-MOST_ORIGINS);
  const surprises: Surprise[] = [];
  for (const origin of rolledCourses(past, "hours", origins, CHECKED_DAYS.at(-1)!))
    surprises.push(...surprisesAt(origin, past, sums));
  return widthsFrom(surprises, past.todayIndex);
}

interface Row {
  machine: string | null;
  daysAhead: number | null;
  windows: number;
  factor: number;
}

/** Those kept last before `today`; null where none are, or only ones that are too old. */
export async function keptWidths(connection: DuckDBConnection, today: string): Promise<Widths | null> {
  const rows = await ask<Row>(connection, widthsQuestion, { today, oldest: dayAfter(today, -OLDEST_DAYS) });
  if (rows.length === 0) return null;
  const all = rows.flatMap(({ machine, daysAhead, windows, factor }): Width[] =>
    machine === null && daysAhead !== null ? [{ daysAhead, windows, factor }] : [],
  );
  const own = rows.flatMap(({ machine, windows, factor }): OwnWidth[] =>
    machine === null ? [] : [{ machine, windows, factor }],
  );
  return { all: all.sort((a, b) => a.daysAhead - b.daysAhead), own };
}

/** Adds them, in the caller's transaction. */
export async function keepWidths(connection: DuckDBConnection, { all, own }: Widths, day: string): Promise<void> {
  const rows: Row[] = [
    ...all.map((width) => ({ machine: null, ...width })),
    ...own.map((width) => ({ daysAhead: null, ...width })),
  ];
  await perform(connection, keepQuestion, { day, rows: JSON.stringify(rows) });
}
