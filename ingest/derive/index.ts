// Sessions, motor stretches and causes, derived from event, stretch and alive_stretch by the rules of the trade. Set-based: each
// step is a .sql file beside this one, handing on a working table; read them in the order below. Knows shared/ only.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, type Bound, perform, question } from "../../shared/question.ts";
import { shuffles } from "./shuffles.ts";

/** Grows whenever the rules would give other sessions from the same lines; a store of an older one is derived anew. */
export const rulesVersion = 1;

export interface Derivation {
  /** Nothing after this instant is known. */
  asOf: Date;
  /** Picks the joint worlds. */
  seed: number;
  /** Where lines came or went since the last derivation: only what they can affect is derived anew. */
  touched?: { stations: string[]; from: Date; until: Date };
  /** Builds temporary tables session, motor and cause that shadow the store's on this connection. */
  temporary?: boolean;
}

const steps = {
  readingMode: question(import.meta.url, "./reading-mode.sql"),
  stationSpan: question(import.meta.url, "./station-span.sql"),
  walk: question(import.meta.url, "./walk.sql"),
  walkCarefully: question(import.meta.url, "./walk-carefully.sql"),
  found: question(import.meta.url, "./found.sql"),
  stretches: question(import.meta.url, "./stretches.sql"),
  elsewhere: question(import.meta.url, "./elsewhere.sql"),
  released: question(import.meta.url, "./released.sql"),
  lengths: question(import.meta.url, "./lengths.sql"),
  unseen: question(import.meta.url, "./unseen.sql"),
  reference: question(import.meta.url, "./reference.sql"),
  referenceRank: question(import.meta.url, "./reference-rank.sql"),
  judged: question(import.meta.url, "./judged.sql"),
  shuffle: question(import.meta.url, "./shuffle.sql"),
  drawn: question(import.meta.url, "./drawn.sql"),
  motor: question(import.meta.url, "./motor.sql"),
};

const derivedTables = ["session", "motor", "cause", "machine_length", "sequence_gap"];

/**
 * Rewrites session, motor, cause (and machine_length, sequence_gap) from event, stretch and alive_stretch as of an instant, in
 * the caller's transaction. The same lines give the same rows, whatever the order in which they were read.
 */
export async function deriveSessions(connection: DuckDBConnection, derivation: Derivation): Promise<void> {
  const { asOf, seed, temporary = false } = derivation;
  for (const table of derivedTables) {
    await connection.run(`DROP TABLE IF EXISTS temp.${table}`);
    if (temporary) await connection.run(`CREATE TEMP TABLE ${table} AS SELECT * FROM ${table} LIMIT 0`);
    else await connection.run(`DELETE FROM ${table}`);
  }
  const run = (step: keyof typeof steps, values: Record<string, Bound> = {}) => perform(connection, steps[step], values);
  const known = { as_of: asOf, since: "-infinity" };
  await run("readingMode");
  await run("stationSpan");
  await run("walk", known);
  await walkWithCare(connection, known);
  await run("found");
  await run("stretches", known);
  await run("elsewhere", known);
  await tellApart(connection);
  await run("released", { rules_version: rulesVersion });
  await run("lengths");
  await run("unseen", { as_of: asOf });
  await run("reference");
  await run("referenceRank");
  await run("judged");
  await run("shuffle", { shuffles: JSON.stringify(shuffles()) });
  await run("drawn", { seed: String(seed), rules_version: rulesVersion });
  await run("motor", known);
}

async function walkWithCare(connection: DuckDBConnection, known: Record<string, Bound>): Promise<void> {
  await connection.run(
    "CREATE OR REPLACE TEMP TABLE careful_station AS SELECT DISTINCT station, bool_or(tied) AS tied FROM walked WHERE tied OR stray GROUP BY station",
  );
  const [care] = (
    await connection.runAndReadAll("SELECT count(*)::int, coalesce(bool_or(tied), false) FROM careful_station")
  ).getRows();
  if (care?.[0] === 0) return;
  if (care?.[1] === true) {
    await connection.run(
      "UPDATE reading_mode SET first_at = first.at_first FROM (SELECT reading_id, min(occurred_at) AS at_first FROM event GROUP BY reading_id) AS first WHERE first.reading_id = reading_mode.reading_id",
    );
  }
  await connection.run("DELETE FROM walked WHERE station IN (SELECT station FROM careful_station)");
  await perform(connection, steps.walkCarefully, known);
}

/** Sessions of the same station, start and badge (and keys whose hashes meet) get ids of their own, ever in the same order. */
async function tellApart(connection: DuckDBConnection): Promise<void> {
  for (;;) {
    const twice = await ask<{ many: number }>(connection, twins);
    if (twice[0]?.many === 0) return;
    await perform(connection, untwin);
  }
}
const twins = question(import.meta.url, "./twins.sql");
const untwin = question(import.meta.url, "./untwin.sql");
