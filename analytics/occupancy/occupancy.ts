// Occupancy: how many units of each group, room and the shop were in use, how often all were taken, and the most people present.
// Whole days come from the roll-ups where these hold, only the edges of the span from the sessions.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question } from "../../shared/question.ts";
import { isoFromDate } from "../../shared/relation.ts";
import { boundsOf, inTurn, rollupState, type Span, type Workings, windowsAround } from "../hours/asked.ts";
import { makeOccupancy } from "./build.ts";

const slotsQuestion = question(import.meta.url, "./slots.sql");
const answerQuestion = question(import.meta.url, "./answer.sql");
const peaksQuestion = question(import.meta.url, "./answer-peaks.sql");
const unitsQuestion = question(import.meta.url, "./units.sql");

export interface Ladder {
  units: number;
  peak: number;
  peakAt: string | null;
  hoursByInUse: { inUse: number; hours: number }[];
  openHours: number;
  fullShare: number;
}

export interface Occupancy {
  groups: (Ladder & { group: string })[];
  rooms: (Ladder & { room: string; peakPeople: number; peakPeopleAt: string | null })[];
  /** `peakAt` is that of the people, `peakUnitsAt` that of `peak`. */
  shop: Ladder & { peakPeople: number; peakUnitsAt: string | null };
}

interface Rung {
  scope: "group" | "room" | "shop";
  id: string;
  in_use: number;
  open_hours: number;
  full_hours: number;
}

interface Peak {
  scope: string;
  id: string;
  what: "units" | "people";
  peak: number;
  peak_at: Date;
}

interface Units {
  scope: string;
  id: string;
  units: number;
  open_hours: number;
}

export interface OccupancyAsked extends Span {
  group?: string | undefined;
  /** false: from the sessions alone, whatever the roll-ups say. */
  rollups?: boolean | undefined;
}

/**
 * Occupancy over the span. `peak` is over all hours, `hoursByInUse` over open hours (all hours where none are given); `fullShare`
 * is the share of open hours with every unit in order taken, 0 where there were no open hours. Machines without a group are
 * their own; driven, always-on and meter-only machines are no units. A group without a session in the span is given all the same.
 */
export async function occupancy(connection: DuckDBConnection, asked: OccupancyAsked): Promise<Occupancy> {
  return inTurn(connection, () => answerOccupancy(connection, asked));
}

async function answerOccupancy(
  connection: DuckDBConnection,
  { group, since, until, asOf, zone, rollups }: OccupancyAsked,
): Promise<Occupancy> {
  const state = rollups === false ? null : await rollupState(connection, zone);
  const bounds = await boundsOf(connection, { since, until, asOf, zone }, state);
  const windows = windowsAround({ ...bounds, until_sharp: bounds.until_at }, bounds.days).filter(
    ({ from, until: end }) => from < end,
  );
  await perform(connection, slotsQuestion, { windows: JSON.stringify(windows) });
  await makeOccupancy(connection, windows, { asOf: asOf.toISOString(), zone });
  const days = { day_from: bounds.days?.first ?? null, day_until: bounds.days?.last ?? null };
  const rungs = await ask<Rung>(connection, answerQuestion, days);
  const peaks = await ask<Peak>(connection, peaksQuestion, days);
  const seen = new Set(peaks.filter(({ scope }) => scope === "group").map(({ id }) => id));
  const units = await ask<Units>(connection, unitsQuestion, {
    from: bounds.from_at,
    until: bounds.until_at,
    unlisted: JSON.stringify([...seen]),
  });
  const keyed = <Row extends { scope: string; id: string }>(rows: Row[]) => {
    const map = new Map<string, Row[]>();
    for (const row of rows) map.set(`${row.scope} ${row.id}`, [...(map.get(`${row.scope} ${row.id}`) ?? []), row]);
    return (scope: string, id: string) => map.get(`${scope} ${id}`) ?? [];
  };
  const rungsOf = keyed(rungs);
  const peaksOf = keyed(peaks);
  const peakOf = (scope: string, id: string, what: Peak["what"]) => peaksOf(scope, id).find((row) => row.what === what);
  const ladder = ({ scope, id, units: count, open_hours: openHours }: Units): Ladder => {
    const mine = rungsOf(scope, id);
    const used = mine.reduce((sum, row) => sum + row.open_hours, 0);
    const full = mine.reduce((sum, row) => sum + row.full_hours, 0);
    const top = mine.at(-1)?.in_use ?? 0;
    const peak = peakOf(scope, id, "units");
    const hoursAt = new Map(mine.map((row) => [row.in_use, row.open_hours]));
    return {
      units: count,
      peak: peak?.peak ?? 0,
      peakAt: peak ? isoFromDate(peak.peak_at) : null,
      hoursByInUse: Array.from({ length: top + 1 }, (_, inUse) => ({
        inUse,
        hours: inUse === 0 ? Math.max(0, openHours - used) : (hoursAt.get(inUse) ?? 0),
      })),
      openHours,
      fullShare: openHours > 0 ? full / openHours : 0,
    };
  };
  const people = (scope: string, id: string) => {
    const peak = peakOf(scope, id, "people");
    return { peakPeople: peak?.peak ?? 0, peakPeopleAt: peak ? isoFromDate(peak.peak_at) : null };
  };
  const nobody: Units = { scope: "shop", id: "shop", units: 0, open_hours: units[0]?.open_hours ?? 0 };
  const { peakAt: peakUnitsAt, ...shop } = ladder(units.find(({ scope }) => scope === "shop") ?? nobody);
  const { peakPeople, peakPeopleAt } = people("shop", "shop");
  return {
    groups: units
      .filter(({ scope, id }) => scope === "group" && (group === undefined || id === group))
      .map((row) => ({ group: row.id, ...ladder(row) })),
    rooms: units
      .filter(({ scope }) => scope === "room")
      .map((row) => ({ room: row.id, ...ladder(row), ...people("room", row.id) })),
    shop: { ...shop, peakUnitsAt, peakPeople, peakAt: peakPeopleAt },
  };
}

/** How occupancy is worked out, for whoever doubts it. */
export function occupancyWorkings(answer: Occupancy, { asOf, zone }: Span): Workings {
  return {
    formula:
      "every start of a session counts +1 and every best end −1, ends first where both come at one instant; the running sum is what is in use, and its time within open hours is added up by its height. Full: every unit that is in its dates and not in an outage has a running session",
    inputs: { groups: answer.groups.length, openHours: answer.shop.openHours, zone, asOf: isoFromDate(asOf) },
    queries: ["running", "states", "ladder", "peaks", "answer"].map((name) => `analytics/occupancy/${name}.sql`),
    notes: ["a badge in its holder is taken for one person present; someone without a badge is not in the log"],
  };
}
