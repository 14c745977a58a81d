// Occupancy: how many units of each group, room and the shop were in use, how often all were taken, and the most people present.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, question } from "../../shared/question.ts";
import { isoFromDate } from "../../shared/relation.ts";
import { boundsOf, type Span } from "../hours/asked.ts";

const unitsQuestion = question(import.meta.url, "./units.sql");
const ladderQuestion = question(import.meta.url, "./ladder.sql");
const peopleQuestion = question(import.meta.url, "./people.sql");

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
  shop: Ladder & { peakPeople: number; peakUnitsAt: string | null };
}

interface LadderRow {
  scope: "group" | "room" | "shop";
  id: string;
  peak: number;
  peak_at: Date | null;
  in_use: number | null;
  open_seconds: number;
  full_seconds: number;
}

/**
 * Occupancy over the span. `peak` is over all hours, `hoursByInUse` over open hours (all hours where none are given); `fullShare`
 * is the share of open hours with every unit in order taken, 0 where there were no open hours. Machines without a group are
 * their own; driven, always-on and meter-only machines are no units. The shop's `peakAt` is that of its people.
 */
export async function occupancy(
  connection: DuckDBConnection,
  { group, since, until, asOf, zone }: Span & { group?: string | undefined },
): Promise<Occupancy> {
  const span = await boundsOf(connection, { since, until, asOf, zone }, null);
  const bounds = { from: span.from_at, until: span.until_at };
  const units = await ask<{ scope: string; id: string; units: number }>(connection, unitsQuestion, bounds);
  const steps = await ask<LadderRow>(connection, ladderQuestion, { ...bounds, as_of: asOf });
  const people = await ask<{ scope: string; id: string; peak_people: number; peak_at: Date }>(connection, peopleQuestion, {
    ...bounds,
    as_of: asOf,
  });
  const ladder = (scope: string, id: string): Ladder => {
    const mine = steps.filter((row) => row.scope === scope && row.id === id);
    const openHours = mine.reduce((sum, row) => sum + row.open_seconds, 0) / 3600;
    const fullHours = mine.reduce((sum, row) => sum + row.full_seconds, 0) / 3600;
    const top = Math.max(0, ...mine.map((row) => row.in_use ?? 0));
    return {
      units: units.find((row) => row.scope === scope && row.id === id)?.units ?? 0,
      peak: mine[0]?.peak ?? 0,
      peakAt: mine[0]?.peak_at ? isoFromDate(mine[0].peak_at) : null,
      hoursByInUse: Array.from({ length: top + 1 }, (_, inUse) => ({
        inUse,
        hours: (mine.find((row) => row.in_use === inUse)?.open_seconds ?? 0) / 3600,
      })),
      openHours,
      fullShare: openHours > 0 ? fullHours / openHours : 0,
    };
  };
  const present = (scope: string, id: string) => {
    const row = people.find((candidate) => candidate.scope === scope && candidate.id === id);
    return { peakPeople: row?.peak_people ?? 0, at: row ? isoFromDate(row.peak_at) : null };
  };
  const ids = (scope: string): string[] => units.filter((row) => row.scope === scope).map((row) => row.id);
  const { peakAt: peakUnitsAt, ...shop } = ladder("shop", "shop");
  const shopPeople = present("shop", "shop");
  return {
    groups: ids("group")
      .filter((id) => group === undefined || id === group)
      .map((id) => ({ group: id, ...ladder("group", id) })),
    rooms: ids("room").map((id) => {
      const { peakPeople, at } = present("room", id);
      return { room: id, ...ladder("room", id), peakPeople, peakPeopleAt: at };
    }),
    shop: { ...shop, peakUnitsAt, peakPeople: shopPeople.peakPeople, peakAt: shopPeople.at },
  };
}
