// What was heard of stations: those that no machine claims, and each one's events and signs of life by local day.
import type { DuckDBConnection } from "@duckdb/node-api";
import { question } from "../../shared/question.ts";
import { askRelation, rowsFromRelation } from "../../shared/relation.ts";
import type { Span } from "./asked.ts";

const seenQuestion = question(import.meta.url, "./stations-seen.sql");
const coverageQuestion = question(import.meta.url, "./coverage.sql");

export interface StationSeen {
  station: string;
  firstAt: string;
  lastAt: string;
  events: number;
  sessions: number;
}

/** Stations that spoke while no machine of the workshop file claimed them. */
export async function stationsSeen(connection: DuckDBConnection, { asOf }: { asOf: Date }): Promise<StationSeen[]> {
  return rowsFromRelation<StationSeen>(await askRelation(connection, seenQuestion, { as_of: asOf }));
}

export interface StationDay {
  station: string;
  /** Local, YYYY-MM-DD. */
  day: string;
  events: number;
  /** Signs of life: of a stretch over several days an even share. */
  signs: number;
  aliveSeconds: number;
}

/** What was heard of each station on each local day; days of silence have no row. */
export async function coverage(connection: DuckDBConnection, { since, until, asOf, zone }: Span): Promise<StationDay[]> {
  const relation = await askRelation(connection, coverageQuestion, {
    since: since ?? null,
    until: until ?? null,
    as_of: asOf,
    zone,
  });
  const rows = rowsFromRelation<StationDay & { alive_seconds: number }>(relation);
  return rows.map(({ alive_seconds: aliveSeconds, ...row }) => ({ ...row, aliveSeconds }));
}
