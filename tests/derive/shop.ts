// A store filled by hand, and its sessions as short texts.
import type { DuckDBConnection } from "@duckdb/node-api";
import { deriveSessions } from "../../ingest/derive/index.ts";
import { openStore } from "../../shared/store.ts";

export interface Line {
  at: string;
  station?: string;
  kind?: string;
  badge?: string | null;
  sequence?: number | null;
  reading?: number;
  early?: string;
  late?: string;
}

export interface SessionRow {
  session_id: bigint;
  machine: string;
  station: string;
  badge: string | null;
  started_at: Date;
  ended_at: Date | null;
  ended: string;
  end_low: Date;
  end_best: Date;
  end_high: Date;
  starts: number;
  cause_id: number | null;
  end_draws: number[] | null;
}

/** `10:00` of the shop's one day, `3 10:00` of its third, or a whole stamp. */
export function instant(text: string): Date {
  const [, day = "1", time] = /^(?:(\d+) )?(\d\d:\d\d(?::\d\d(?:\.\d+)?)?)$/.exec(text) ?? [];
  if (time === undefined) return new Date(text);
  const start = Date.UTC(2025, 2, Number(day));
  const [hours = 0, minutes = 0, seconds = 0] = time.split(":").map(Number);
  return new Date(start + ((hours * 60 + minutes) * 60 + seconds) * 1000);
}

export async function inShop<T>(work: (connection: DuckDBConnection) => Promise<T>): Promise<T> {
  const store = await openStore(":memory:");
  const connection = await store.connect();
  try {
    return await work(connection);
  } finally {
    connection.closeSync();
    store.close();
  }
}

let shared: Promise<DuckDBConnection> | undefined;

/** As inShop, in one store for all tests of a file, emptied before: opening one takes longer than deriving. */
export async function inEmptyShop<T>(work: (connection: DuckDBConnection) => Promise<T>): Promise<T> {
  shared ??= openStore(":memory:").then((store) => store.connect());
  const connection = await shared;
  for (const table of ["event", "stretch", "alive_stretch", "reading", "machine", "machine_station"]) {
    await connection.run(`DELETE FROM ${table}`);
  }
  await connection.run("DELETE FROM meta WHERE key = 'derived'");
  return work(connection);
}

export async function fill(connection: DuckDBConnection, lines: Line[], firstLine = 1): Promise<void> {
  const rows = lines.map((line, index) => ({
    reading_id: line.reading ?? 1,
    line: firstLine + index,
    occurred_at: instant(line.at).toISOString(),
    early_at: line.early === undefined ? null : instant(line.early).toISOString(),
    late_at: line.late === undefined ? null : instant(line.late).toISOString(),
    station: line.station ?? "1",
    kind: line.kind ?? "enable",
    badge: line.badge ?? null,
    sequence: line.sequence ?? null,
  }));
  await connection.run(
    `INSERT INTO event BY NAME SELECT r.*
     FROM (SELECT unnest(from_json($rows, '[{"reading_id":"INTEGER","line":"BIGINT","occurred_at":"TIMESTAMPTZ","early_at":"TIMESTAMPTZ","late_at":"TIMESTAMPTZ","station":"VARCHAR","kind":"VARCHAR","badge":"VARCHAR","sequence":"BIGINT"}]')) AS r)`,
    { rows: JSON.stringify(rows) },
  );
}

export async function reading(connection: DuckDBConnection, id: number, profile: object): Promise<void> {
  await connection.run(
    "INSERT INTO reading (reading_id, file, profile, read_at, lines, stored, duplicates, ignored, blank, rejected, repaired) VALUES ($id, 'log.csv', $profile, '2025-03-01', 0, 0, 0, 0, 0, 0, 0)",
    {
      id,
      profile: JSON.stringify(profile),
    },
  );
}

export async function alive(
  connection: DuckDBConnection,
  station: string,
  first: string,
  last: string,
  gapSeconds = 60,
): Promise<void> {
  const [from, until] = [instant(first), instant(last)];
  await connection.run("INSERT INTO alive_stretch VALUES ($station, $first::timestamptz, $last::timestamptz, $signs, $gap)", {
    station,
    first: from.toISOString(),
    last: until.toISOString(),
    signs: Math.round((until.getTime() - from.getTime()) / 1000 / gapSeconds) + 1,
    gap: gapSeconds,
  });
}

export async function sessions(connection: DuckDBConnection): Promise<SessionRow[]> {
  const reader = await connection.runAndReadAll(
    "SELECT * EXCLUDE (end_draws), end_draws::double[] AS end_draws FROM session ORDER BY started_at, station, badge, session_id",
  );
  return reader.getRowObjectsJS() as unknown as SessionRow[];
}

export async function derive(connection: DuckDBConnection, asOf: string, seed = 1): Promise<SessionRow[]> {
  await deriveSessions(connection, { asOf: instant(asOf), seed });
  return sessions(connection);
}

/** One session as a short text: station badge start–end (low–high) how. */
export function shown(row: SessionRow): string {
  const clock = (time: Date) => time.toISOString().slice(11, time.getUTCSeconds() ? 19 : 16);
  const end = row.ended_at ? clock(row.ended_at) : `${clock(row.end_low)}..${clock(row.end_high)}`;
  return `${row.station} ${row.badge ?? "-"} ${clock(row.started_at)}-${end} ${row.ended}${row.starts > 1 ? ` x${row.starts}` : ""}`;
}
