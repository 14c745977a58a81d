// The working tables behind hours: what makes a machine's hours, cut at local days or hours.
import type { DuckDBConnection } from "@duckdb/node-api";
import { perform, question } from "../../shared/question.ts";
import type { Window } from "./asked.ts";

const cover = question(import.meta.url, "./cover.sql");
const coverStored = question(import.meta.url, "./cover-stored.sql");
const slots = question(import.meta.url, "./slots.sql");
const stretches = question(import.meta.url, "./stretches.sql");
const pieces = question(import.meta.url, "./pieces.sql");
const pieceDraws = question(import.meta.url, "./piece-draws.sql");
const pieceMembers = question(import.meta.url, "./piece-members.sql");

export interface Known {
  machine: string | null;
  /** RFC 3339 or DuckDB's own text of an instant; infinity: everything stored is known. */
  asOf: string;
  logFrom: string;
  zone: string;
}

/** Makes hours_cover: where motor events tell. `stored`: from the roll-ups. */
export async function makeCover(connection: DuckDBConnection, { machine, asOf }: Known, stored: boolean): Promise<void> {
  if (stored) await perform(connection, coverStored, { machine });
  else await perform(connection, cover, { machine, as_of: asOf });
}

/** Makes hours_stretch within the windows; hours_cover must stand. */
export async function makeStretches(
  connection: DuckDBConnection,
  windows: readonly Window[],
  { machine, asOf, logFrom }: Known,
): Promise<void> {
  await perform(connection, stretches, { windows: JSON.stringify(windows), machine, as_of: asOf, log_from: logFrom });
}

/** Makes hours_slot, hours_stretch, hours_piece and hours_draw; hours_cover must stand. */
export async function makePieces(
  connection: DuckDBConnection,
  windows: readonly Window[],
  known: Known,
  grain: "day" | "hour",
): Promise<void> {
  const { zone } = known;
  await perform(connection, slots, { windows: JSON.stringify(windows), zone, grain });
  await makeStretches(connection, windows, known);
  await perform(connection, pieces, { zone, grain });
  await perform(connection, pieceDraws, { zone, grain });
}

/** Makes hours_member. */
export async function makeMembers(
  connection: DuckDBConnection,
  windows: readonly Window[],
  { machine, zone }: Known,
  grain: "day" | "hour",
): Promise<void> {
  await perform(connection, pieceMembers, { windows: JSON.stringify(windows), machine, zone, grain });
}
