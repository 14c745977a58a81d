// The working tables behind occupancy, from occupancy_slot.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question } from "../../shared/question.ts";
import type { Window } from "../hours/asked.ts";

const allOpen = question(import.meta.url, "./all-open.sql");
const runningTable = question(import.meta.url, "./running-table.sql");
const running = question(import.meta.url, "./running.sql");
const states = question(import.meta.url, "./states.sql");
const ladder = question(import.meta.url, "./ladder.sql");
const peaks = question(import.meta.url, "./peaks.sql");

/** Makes occupancy_running, occupancy_state, occupancy_ladder and occupancy_peak within the slots of occupancy_slot,
 * which lie in the windows. */
export async function makeOccupancy(
  connection: DuckDBConnection,
  windows: readonly Window[],
  { asOf, zone }: { asOf: string; zone: string },
): Promise<void> {
  const [hours] = await ask<{ all_open: boolean }>(connection, allOpen);
  await perform(connection, runningTable);
  for (const window of windows) await perform(connection, running, { ...window, as_of: asOf, zone });
  await perform(connection, states, { all_open: hours!.all_open });
  await perform(connection, ladder);
  await perform(connection, peaks);
}
