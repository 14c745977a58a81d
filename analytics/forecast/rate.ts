// How machines will be used: for now at the pace of the last twelve weeks, drawn again and again by whole weeks.
import type { DuckDBConnection } from "@duckdb/node-api";
import { dayAfter } from "../../shared/times.ts";
import { hours } from "../hours/hours.ts";
import type { UseBasis } from "../service/tasks.ts";
import { localDays } from "./local-days.ts";

export type ForecastBasis = Exclude<UseBasis, "days">;

export interface FutureUse {
  /** The local day of the as-of time; days ahead count from it. */
  today: string;
  /** How many days ahead it reaches. */
  reachDays: number;
  worlds: number;
  /**
   * In each world the day ahead on which use from now on adds up to `left[world]`, infinite where that is beyond the reach. Null
   * where there is too little past to go by.
   */
  daysUntil(machine: string, basis: ForecastBasis, left: readonly number[]): number[] | null;
  /** Use of a past local day: for what fell due already. */
  usedOn(machine: string, basis: ForecastBasis, day: string): number;
  firstDay: string;
}

const WEEKS = 12;
const FEWEST_WEEKS = 2;
const REACH_DAYS = 730;
const WORLDS = 100;

/**
 * Use of the coming days of every machine. Each world first draws which of the past weeks it believes in, then lives through
 * those in any order: the one spread is that of the rate, the other that of the weeks.
 */
export async function futureUse(
  connection: DuckDBConnection,
  { asOf, zone, today, logFrom, seed }: { asOf: Date; zone: string; today: string; logFrom: string; seed: number },
): Promise<FutureUse> {
  const { rows } = await hours(connection, { asOf, zone, by: "day" });
  const past = new Map<string, Map<string, Record<ForecastBasis, number>>>();
  const dayOf = await localDays(
    connection,
    zone,
    rows.map(({ from }) => from),
  );
  for (const row of rows) {
    const day = dayOf(row.from);
    const days = past.get(row.machine) ?? new Map();
    days.set(day, {
      hours: row.runHours.best ?? 0,
      "load-hours": row.loadHours?.best ?? 0,
      starts: row.starts ?? 0,
      "use-days": (row.starts ?? 0) > 0 ? 1 : 0,
      cycles: row.sessions ?? row.starts ?? 0,
    });
    past.set(row.machine, days);
  }
  const days: string[] = [];
  for (let day = today; day >= logFrom && days.length < WEEKS * 7; day = dayAfter(day, -1)) days.push(day);
  const weeks = Math.floor(days.length / 7);
  const usedOn = (machine: string, basis: ForecastBasis, day: string): number => past.get(machine)?.get(day)?.[basis] ?? 0;
  const orders = weeks < FEWEST_WEEKS ? [] : weekOrders(weeks, seed);
  return {
    today,
    reachDays: REACH_DAYS,
    worlds: WORLDS,
    firstDay: logFrom,
    usedOn,
    daysUntil(machine, basis, left) {
      if (orders.length === 0) return null;
      // Oldest first, so that a week's days keep their order; each starts on the weekday after today's.
      const uses = Array.from({ length: weeks }, (_, week) =>
        Array.from({ length: 7 }, (_, i) => usedOn(machine, basis, days[(week + 1) * 7 - 1 - i]!)),
      );
      return orders.map((order, world) => {
        let sum = 0;
        const wanted = left[world]!;
        if (wanted <= 0) return 0;
        for (let ahead = 1; ahead <= REACH_DAYS; ahead++) {
          sum += uses[order[Math.floor((ahead - 1) / 7)]!]![(ahead - 1) % 7]!;
          if (sum >= wanted) return ahead;
        }
        return Number.POSITIVE_INFINITY;
      });
    },
  };
}

function weekOrders(weeks: number, seed: number): number[][] {
  const random = generator(seed);
  const pick = (n: number): number => Math.floor(random() * n);
  return Array.from({ length: WORLDS }, () => {
    const believed = Array.from({ length: weeks }, () => pick(weeks));
    return Array.from({ length: Math.ceil(REACH_DAYS / 7) }, () => believed[pick(weeks)]!);
  });
}

/** Mulberry32: a small generator whose seed is one whole number. */
function generator(seed: number): () => number {
  let state = seed | 0;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}
