// From lines to sessions, motor stretches and causes: the walk itself, whether over the whole log or over what new lines touched.
import type { DuckDBConnection } from "@duckdb/node-api";
import {
  type BootSilence,
  beganBetween,
  beganTogether,
  type Cause,
  networkCauses,
  numbered,
  powerCauses,
  type Silence,
} from "./causes.ts";
import { normalScores, shuffles } from "./shuffles.ts";
import { rowsOf, run } from "./steps.ts";

/** Grows whenever the rules would give other sessions from the same lines; a store of an older one is derived anew. */
export const rulesVersion = 6;

/** Instants as RFC 3339 text or `-infinity`. */
export interface Known {
  /** Nothing after it is known. */
  asOf: string;
  /** What ended before it is known already. */
  from: string;
}

/** Sessions whose start and end were seen into session, the others into the working table unseen. */
export async function findSessions(connection: DuckDBConnection, { asOf, from }: Known): Promise<void> {
  const span = { as_of: asOf, since: "-infinity" };
  await run(connection, "readingMode");
  await run(connection, "stationSpan");
  await run(connection, "walked");
  await run(connection, "walk", { ...span, careful: false });
  await walkWithCare(connection, span);
  await run(connection, "releasedPlainly", { rules_version: rulesVersion, from });
  await run(connection, "found");
  await run(connection, "stretches", span);
  await run(connection, "elsewhere", span);
  await tellApart(connection);
  await run(connection, "released", { rules_version: rulesVersion, from });
  await run(connection, "unseen", { ...span, from });
  await run(connection, "unbegun", { from });
}

async function walkWithCare(connection: DuckDBConnection, span: { as_of: string; since: string }): Promise<void> {
  await run(connection, "carefulStation");
  const [care] = await rowsOf<{ many: number; tied: boolean }>(connection, "care");
  if (!care?.many) return;
  if (care.tied) await run(connection, "readingOrder");
  await run(connection, "believed", span);
  await connection.run("DELETE FROM walked WHERE station IN (SELECT station FROM careful_station)");
  await run(connection, "walk", { ...span, careful: true });
}

/** Gives every session an id of its own that follows from station, start and badge. */
async function tellApart(connection: DuckDBConnection): Promise<void> {
  for (;;) {
    const [ids] = await rowsOf<{ found_twins: number; twins: number }>(connection, "twins");
    if (!ids || ids.twins + ids.found_twins === 0) return;
    if (ids.found_twins > 0) await run(connection, "untwin");
    else {
      // An id met that of a plain session: tell them apart together.
      await run(connection, "unplain");
      await connection.run("DELETE FROM session WHERE session_id IN (SELECT session_id FROM found)");
    }
  }
}

/** Counts the lengths of seen sessions and the pauses between them; `machines` is a JSON list, null = all. */
export async function countLengths(connection: DuckDBConnection, machines: string | null): Promise<void> {
  await run(connection, "lengths", { machines });
  await run(connection, "pauseBin");
  await run(connection, "pauses", { machines });
}

/** What each machine's seen sessions say about length, for those of judged_machine. */
export async function refer(connection: DuckDBConnection, seed: number): Promise<void> {
  await run(connection, "pauseBin");
  await run(connection, "shuffle", { shuffles: JSON.stringify(shuffles()) });
  await run(connection, "normalScore", { scores: JSON.stringify(normalScores()) });
  await run(connection, "reference", { seed: String(seed) });
  await run(connection, "pauseDensity");
}

/** Silences that ended with a boot, and the causes they tell of. */
export async function inferPower(connection: DuckDBConnection, { asOf, from }: Known): Promise<Cause[]> {
  await run(connection, "bootSilence", { as_of: asOf, since: "-infinity", from });
  await run(connection, "heardElsewhere", { as_of: asOf });
  return powerCauses(await rowsOf<BootSilence>(connection, "bootSilences"));
}

/** The causes that all silences without boot tell of. */
export async function inferNetwork(connection: DuckDBConnection): Promise<Cause[]> {
  const silences = await rowsOf<Silence>(connection, "silences");
  const groups = beganTogether(silences).filter((group) => new Set(group.map((silence) => silence.station)).size > 1);
  if (groups.length === 0) return [];
  const instants = JSON.stringify(groups.map((group) => beganBetween(group).low));
  const alive = await rowsOf<{ at_ms: number; stations: string[] }>(connection, "aliveStations", { instants });
  const aliveAt = new Map(alive.map(({ at_ms, stations }) => [at_ms, stations]));
  return networkCauses(groups, (atMs) => aliveAt.get(atMs) ?? []);
}

/** Writes causes down; gives their numbers. */
export async function keepCauses(connection: DuckDBConnection, causes: Cause[]): Promise<number[]> {
  const all = numbered(causes);
  const list = JSON.stringify(all);
  await run(connection, "cause", { causes: list });
  await run(connection, "causeMember", { causes: list });
  return all.map((cause) => cause.causeId);
}

/** Draws the ends of judged sessions into session. */
export async function drawEnds(connection: DuckDBConnection, seed: number): Promise<void> {
  await run(connection, "ranked");
  await run(connection, "followed");
  await run(connection, "weighed");
  await run(connection, "causeCut", { seed: String(seed) });
  await run(connection, "drawn", { seed: String(seed), rules_version: rulesVersion });
}

/** Everything anew, into tables that are empty. */
export async function deriveAll(connection: DuckDBConnection, asOf: string, seed: number): Promise<void> {
  const known = { asOf, from: "-infinity" };
  await run(connection, "referenceSize");
  await run(connection, "knownEvidence");
  await run(connection, "quietSilences", { as_of: asOf, from: "-infinity" });
  await findSessions(connection, known);
  await countLengths(connection, null);
  await run(connection, "judgedMachine");
  await refer(connection, seed);
  const power = await inferPower(connection, known);
  await keepCauses(connection, [...power, ...(await inferNetwork(connection))]);
  await run(connection, "judged");
  await drawEnds(connection, seed);
  await run(connection, "motor", { as_of: asOf, since: "-infinity" });
}
