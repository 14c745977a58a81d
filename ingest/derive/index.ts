// Sessions, motor stretches and causes, derived from event, stretch and alive_stretch by the rules of the trade. Set-based: each
// step is a .sql file beside this one, handing on a working table; read them in the order below. Knows shared/ only.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, type Bound, perform, question } from "../../shared/question.ts";
import { type BootSilence, beganBetween, beganTogether, networkCauses, numbered, powerCauses, type Silence } from "./causes.ts";
import { normalScores, shuffles } from "./shuffles.ts";

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
  walked: question(import.meta.url, "./walked.sql"),
  walk: question(import.meta.url, "./walk.sql"),
  carefulStation: question(import.meta.url, "./careful-station.sql"),
  care: question(import.meta.url, "./care.sql"),
  readingOrder: question(import.meta.url, "./reading-order.sql"),
  believed: question(import.meta.url, "./believed.sql"),
  found: question(import.meta.url, "./found.sql"),
  stretches: question(import.meta.url, "./stretches.sql"),
  elsewhere: question(import.meta.url, "./elsewhere.sql"),
  releasedPlainly: question(import.meta.url, "./released-plainly.sql"),
  twins: question(import.meta.url, "./twins.sql"),
  unplain: question(import.meta.url, "./unplain.sql"),
  untwin: question(import.meta.url, "./untwin.sql"),
  released: question(import.meta.url, "./released.sql"),
  lengths: question(import.meta.url, "./lengths.sql"),
  unseen: question(import.meta.url, "./unseen.sql"),
  normalScore: question(import.meta.url, "./normal-score.sql"),
  reference: question(import.meta.url, "./reference.sql"),
  bootSilence: question(import.meta.url, "./boot-silence.sql"),
  heardElsewhere: question(import.meta.url, "./heard-elsewhere.sql"),
  bootSilences: question(import.meta.url, "./boot-silences.sql"),
  quietSilences: question(import.meta.url, "./quiet-silences.sql"),
  aliveStations: question(import.meta.url, "./alive-stations.sql"),
  cause: question(import.meta.url, "./cause.sql"),
  causeMember: question(import.meta.url, "./cause-member.sql"),
  causeCut: question(import.meta.url, "./cause-cut.sql"),
  judged: question(import.meta.url, "./judged.sql"),
  ranked: question(import.meta.url, "./ranked.sql"),
  spread: question(import.meta.url, "./spread.sql"),
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
  await run("walked");
  await run("walk", { ...known, careful: false });
  await walkWithCare(connection, known);
  await findSessions(connection, known);
  await run("released", { rules_version: rulesVersion });
  await run("lengths", { machines: null });
  await run("unseen", known);
  await run("shuffle", { shuffles: JSON.stringify(shuffles()) });
  await run("normalScore", { scores: JSON.stringify(normalScores()) });
  await run("reference", { seed: String(seed) });
  await inferCauses(connection, known);
  await run("judged");
  await run("ranked");
  await run("spread");
  await run("causeCut", { seed: String(seed) });
  await run("drawn", { seed: String(seed), rules_version: rulesVersion });
  await run("motor", known);
}

async function walkWithCare(connection: DuckDBConnection, known: Record<string, Bound>): Promise<void> {
  await perform(connection, steps.carefulStation);
  const [care] = await ask<{ many: number; tied: boolean }>(connection, steps.care);
  if (!care?.many) return;
  if (care.tied) await perform(connection, steps.readingOrder);
  await perform(connection, steps.believed, known);
  await connection.run("DELETE FROM walked WHERE station IN (SELECT station FROM careful_station)");
  await perform(connection, steps.walk, { ...known, careful: true });
}

/** Finds every session once, under an id of its own that follows from station, start and badge. */
async function findSessions(connection: DuckDBConnection, known: Record<string, Bound>): Promise<void> {
  await perform(connection, steps.releasedPlainly, { rules_version: rulesVersion });
  await perform(connection, steps.found);
  await perform(connection, steps.stretches, known);
  await perform(connection, steps.elsewhere, known);
  for (;;) {
    const [{ found_twins, twins } = { found_twins: 0, twins: 0 }] = await ask<{ found_twins: number; twins: number }>(
      connection,
      steps.twins,
    );
    if (found_twins > 0) await perform(connection, steps.untwin);
    else if (twins === 0) return;
    else {
      // An id met that of a plain session: tell them apart together.
      await perform(connection, steps.unplain);
      await connection.run("DELETE FROM session WHERE session_id IN (SELECT session_id FROM found)");
    }
  }
}

/** What silenced or ended many stations at once, from all their silences together. */
async function inferCauses(connection: DuckDBConnection, known: Record<string, Bound>): Promise<void> {
  await perform(connection, steps.bootSilence, known);
  await perform(connection, steps.heardElsewhere, { as_of: known.as_of ?? null });
  const boots = await ask<BootSilence>(connection, steps.bootSilences);
  const quiet = await ask<Silence>(connection, steps.quietSilences, known);
  const groups = beganTogether(quiet).filter((group) => group.length > 1);
  const alive =
    groups.length === 0
      ? []
      : await ask<{ at_ms: number; stations: string[] }>(connection, steps.aliveStations, {
          instants: JSON.stringify(groups.map((group) => beganBetween(group).low)),
        });
  const aliveAt = new Map(alive.map(({ at_ms, stations }) => [at_ms, stations]));
  const causes = JSON.stringify(numbered([...powerCauses(boots), ...networkCauses(groups, (atMs) => aliveAt.get(atMs) ?? [])]));
  await perform(connection, steps.cause, { causes });
  await perform(connection, steps.causeMember, { causes });
}
