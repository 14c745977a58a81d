// Signs of life are most of a log and none of the work: counted line by line, kept exactly but compactly, and told as stretches in
// which the usual rhythm held.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question } from "../../shared/question.ts";
import type { Touched } from "../accounting.ts";

const gather = question(import.meta.url, "./gather.sql");
const gatherKnown = question(import.meta.url, "./gather-known.sql");
const gatherOdd = question(import.meta.url, "./gather-odd.sql");
const countNew = question(import.meta.url, "./count-new.sql");
const countRepaired = question(import.meta.url, "./count-repaired.sql");
const dropKnown = question(import.meta.url, "./drop-known.sql");
const store = ["./forget-hours.sql", "./write-hours.sql", "./insert-odd.sql"].map((path) => question(import.meta.url, path));
const clear = ["./clear-log-alive.sql", "./clear-log-alive-known.sql", "./clear-log-alive-odd.sql"].map((path) =>
  question(import.meta.url, path),
);
const cut = question(import.meta.url, "./cut-stretches.sql");
const tell = ["./forget-stretches.sql", "./write-stretches.sql", "./clear-log-alive-cut.sql"].map((path) =>
  question(import.meta.url, path),
);

export interface NewSigns {
  station: string;
  signs: number;
  first_at: Date;
  last_at: Date;
}

/** Keeps the staged log's signs of life and gives the new ones; `tellAlive` makes stretches of them, once after all files. */
export async function keepAlive(
  connection: DuckDBConnection,
  span: { from: Date | null; until: Date | null },
): Promise<{ byStation: NewSigns[]; repaired: number }> {
  await perform(connection, gather);
  await perform(connection, gatherKnown, span);
  await perform(connection, dropKnown);
  await perform(connection, gatherOdd, span);
  const byStation = await ask<NewSigns>(connection, countNew);
  const [counted] = await ask<{ repaired: number }>(connection, countRepaired);
  if (byStation.length > 0) {
    for (const step of store) await perform(connection, step, step.sql.includes("$from") ? span : {});
  }
  for (const step of clear) await perform(connection, step);
  return { byStation, repaired: counted!.repaired };
}

/** Tells stretches of life anew where new signs can have changed them, in the caller's transaction. */
export async function tellAlive(connection: DuckDBConnection, { stations, from }: Touched): Promise<void> {
  await perform(connection, cut, { stations: JSON.stringify(stations), from });
  for (const step of tell) await perform(connection, step);
}
