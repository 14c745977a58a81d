// A small store written by hand: sessions, machines and what else a test needs, without a log.
import type { DuckDBConnection } from "@duckdb/node-api";
import { DRAWS } from "../../shared/draws.ts";
import { openStore, type Store } from "../../shared/store.ts";

export interface Shop {
  store: Store;
  connection: DuckDBConnection;
  close(): void;
}

export async function openShop(): Promise<Shop> {
  const store = await openStore(":memory:");
  const connection = await store.connect();
  return {
    store,
    connection,
    close: () => {
      connection.closeSync();
      store.close();
    },
  };
}

export interface Stretch {
  machine: string;
  station?: string;
  badge?: string | null;
  start: string;
  end?: string | null;
  ended?: string;
  low?: string;
  best?: string;
  high?: string;
  starts?: number;
  /** Seconds after start, one for each world, or a function of the world from 0 to 1. */
  draws?: (u: number) => number;
}

let nextSession = 1;

export async function addSessions(connection: DuckDBConnection, stretches: readonly Stretch[]): Promise<void> {
  const rows = stretches.map((s) => ({
    id: nextSession++,
    machine: s.machine,
    station: s.station ?? s.machine,
    badge: s.badge === undefined ? "b1" : s.badge,
    start: s.start,
    end: s.end ?? null,
    ended: s.ended ?? (s.end ? "released" : "lost"),
    low: s.low ?? s.end ?? s.start,
    best: s.best ?? s.end ?? s.start,
    high: s.high ?? s.end ?? s.start,
    starts: s.starts ?? 1,
    draws: s.draws ? Array.from({ length: DRAWS }, (_, k) => s.draws!((k + 0.5) / DRAWS)) : null,
  }));
  await connection.run(
    `INSERT INTO session (session_id, machine, station, badge, started_at, ended_at, ended, end_low, end_best, end_high, starts, cause_id, end_draws, rules_version)
     SELECT (r->>'id')::bigint, r->>'machine', r->>'station', r->>'badge', (r->>'start')::timestamptz,
       (r->>'end')::timestamptz, r->>'ended', (r->>'low')::timestamptz, (r->>'best')::timestamptz, (r->>'high')::timestamptz,
       (r->>'starts')::integer, NULL, (r->'draws')::double[], 1
     FROM (SELECT unnest($rows::json[]) AS r)`,
    { rows: JSON.stringify(rows) },
  );
}

export interface MachineRow {
  machine: string;
  group?: string;
  room?: string;
  kind?: "stations" | "driven" | "always-on" | "meter";
  from?: string;
  until?: string;
  runOnSeconds?: number;
  runFactor?: { low: number; best: number; high: number; fixed?: boolean };
}

export async function addMachines(connection: DuckDBConnection, machines: readonly MachineRow[]): Promise<void> {
  for (const [ordinal, m] of machines.entries()) {
    await connection.run(
      `INSERT INTO machine VALUES ($machine, $ordinal, $machine, $group, $room, 'low', NULL, $kind, $from::timestamptz,
         $until::timestamptz, $runOn, $low, $best, $high, $fixed)`,
      {
        machine: m.machine,
        ordinal,
        group: m.group ?? m.machine,
        room: m.room ?? null,
        kind: m.kind ?? "stations",
        from: m.from ?? null,
        until: m.until ?? null,
        runOn: m.runOnSeconds ?? 0,
        low: m.runFactor?.low ?? null,
        best: m.runFactor?.best ?? null,
        high: m.runFactor?.high ?? null,
        fixed: m.runFactor?.fixed ?? false,
      },
    );
  }
}
