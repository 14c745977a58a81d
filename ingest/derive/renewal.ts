// Only what new lines can have changed is derived anew; what comes out is what deriving everything would give.
import type { DuckDBConnection } from "@duckdb/node-api";
import { countLengths, drawEnds, findSessions, inferNetwork, inferPower, type Known, keepCauses, refer } from "./sessions.ts";
import { rowsOf, run } from "./steps.ts";

export interface Touched {
  stations: string[];
  from: Date;
  until: Date;
}

/** A session whose start was not seen ended with its release, though its length is not known. */
const endedSince =
  "end_high >= $from::timestamptz AND NOT (ended = 'released' AND end_draws IS NOT NULL AND ended_at < $from::timestamptz)";

/** More old lines than this to fetch one by one, and deriving everything is simpler. */
const mostOldLines = 200;

/**
 * Derives anew what lines of these stations since `touched.from`, or the move of the as-of time, can have changed: every session
 * that had not ended a while before. False where that cannot be told apart from everything (a machine has a new longest session,
 * ids meet, much is unfinished): then all must be derived.
 */
export async function renew(
  connection: DuckDBConnection,
  touched: Touched,
  asOf: string,
  lastAsOf: string,
  seed: number,
): Promise<boolean> {
  const since = touched.from.toISOString() < lastAsOf ? touched.from.toISOString() : lastAsOf;
  const from = await startOfChange(connection, since, touched.stations);
  const known: Known = { asOf, from };
  const [walk] = await rowsOf<{ walk_at: Date }>(connection, "renewalWalk", { start: from });
  const walkAt = walk?.walk_at.toISOString() ?? from;
  const old = await rowsOf<OldLine>(connection, "renewalOld", { start: from, walk: walkAt });
  if (old.length > mostOldLines) return false;

  await run(connection, "referenceSize");
  await run(connection, "knownEvidence");
  await run(connection, "renewalLines", { as_of: asOf, walk: walkAt });
  await run(connection, "renewalStretches", { as_of: asOf, walk: walkAt });
  for (const line of old) await fetchOld(connection, line);
  await run(connection, "readingMode");
  await run(connection, "renewalPair", { walk: walkAt });
  const silencesChanged = await renewSilences(connection, known);
  await connection.run(`CREATE OR REPLACE TEMP TABLE old_session AS FROM session WHERE ${endedSince}`, { from });
  await connection.run("CREATE TEMP TABLE session AS FROM session LIMIT 0");
  await findSessions(connection, known);
  await run(connection, "renewalEarlier", { walk: walkAt, from });
  await connection.run("DROP TABLE IF EXISTS temp.window_session");
  await connection.run("ALTER TABLE temp.session RENAME TO window_session");
  await connection.run(`DELETE FROM session WHERE ${endedSince}`, { from });
  const [taken] = await rowsOf<{ many: number }>(connection, "takenId");
  if (taken?.many !== 0) return false;
  await connection.run("INSERT INTO session FROM window_session");

  const changes = await rowsOf<LengthChange>(connection, "lengthChange");
  if (changes.some((change) => change.longest_changed)) return false;
  const recount = changes.filter((change) => change.recount).map((change) => change.machine);
  await run(connection, "judgedMachine");
  if (recount.length > 0) {
    await connection.run("INSERT INTO judged_machine SELECT DISTINCT machine FROM session WHERE end_draws IS NOT NULL");
    await refer(connection, seed);
    await connection.run("CREATE OR REPLACE TEMP TABLE reference_before AS FROM reference");
    const machines = JSON.stringify(recount);
    for (const table of ["machine_length", "machine_pause"])
      await connection.run(`DELETE FROM ${table} WHERE machine IN (SELECT unnest($machines::json::varchar[]))`, { machines });
    await countLengths(connection, machines);
  }
  for (const { machine, sessions, recount } of changes) {
    if (!recount) await run(connection, "lengthCount", { machine, sessions });
  }
  await refer(connection, seed);

  if (!(await renewCauses(connection, known, silencesChanged))) return false;
  await run(connection, "judged");
  if (recount.length > 0) {
    await run(connection, "redrawn");
    await connection.run("DELETE FROM session WHERE session_id IN (SELECT session_id FROM judged)");
  }
  await drawEnds(connection, seed);
  await connection.run(
    "DELETE FROM motor WHERE started_at >= $walk::timestamptz OR (station, started_at) IN (SELECT station, occurred_at FROM event WHERE occurred_at < $walk::timestamptz AND kind = 'motor-on')",
    { walk: walkAt },
  );
  await run(connection, "motor", { as_of: asOf, since: "-infinity" });
  await run(connection, "renewalMotor");
  return true;
}

interface OldLine {
  kind: string;
  station: string;
  started_at: Date;
  session_id: string | null;
  end_low: Date | null;
}

interface LengthChange {
  machine: string;
  sessions: string;
  recount: boolean;
  longest_changed: boolean;
}

/** An hour from which on all is derived anew; no boots of the ten minutes before it, which may belong to one cause with later ones. */
async function startOfChange(connection: DuckDBConnection, since: string, stations: string[]): Promise<string> {
  const [first] = await rowsOf<{ start_at: Date }>(connection, "renewalStart", { since, stations: JSON.stringify(stations) });
  let start = first?.start_at.toISOString() ?? since;
  for (;;) {
    const [boot] = await rowsOf<{ start_at: Date | null }>(connection, "renewalBoot", { start });
    if (!boot?.start_at) return start;
    start = boot.start_at.toISOString();
  }
}

async function fetchOld(connection: DuckDBConnection, line: OldLine): Promise<void> {
  const place = { station: line.station, started: line.started_at };
  await run(connection, "renewalOldLine", { ...place, kind: line.kind });
  if (line.kind !== "enable") return;
  await run(connection, "renewalOldStretch", place);
  await connection.run("INSERT INTO known_evidence VALUES ($id::bigint, $low::timestamptz)", {
    id: line.session_id,
    low: line.end_low?.toISOString() ?? null,
  });
}

/** Whether silences without boot are other ones now. */
async function renewSilences(connection: DuckDBConnection, { asOf, from }: Known): Promise<boolean> {
  await connection.run("CREATE OR REPLACE TEMP TABLE old_silence AS FROM silence WHERE alive_at >= $from::timestamptz", { from });
  await connection.run("DELETE FROM silence WHERE alive_at >= $from::timestamptz", { from });
  await run(connection, "quietSilences", { as_of: asOf, from });
  const changed = await connection.runAndReadAll(
    "SELECT 1 FROM ((FROM silence WHERE alive_at >= $from::timestamptz) EXCEPT FROM old_silence) UNION ALL SELECT 1 FROM (FROM old_silence EXCEPT FROM silence) LIMIT 1",
    { from },
  );
  return changed.currentRowCount > 0;
}

/** False where a number meets that of a cause that is kept. */
async function renewCauses(connection: DuckDBConnection, known: Known, silencesChanged: boolean): Promise<boolean> {
  const { from } = known;
  const power = await inferPower(connection, known);
  await connection.run("DELETE FROM cause WHERE kind IN ('power-cut', 'contact') AND until_at >= $from::timestamptz", { from });
  let network: Awaited<ReturnType<typeof inferNetwork>> = [];
  if (silencesChanged) {
    await connection.run("DELETE FROM cause WHERE kind IN ('network-loss', 'server-down')");
    network = await inferNetwork(connection);
  }
  const kept = await connection.runAndReadAll("SELECT cause_id FROM cause");
  const taken = new Set(kept.getRows().map(([id]) => id));
  return (await keepCauses(connection, [...power, ...network])).every((id) => !taken.has(id));
}
