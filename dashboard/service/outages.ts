// Outages: a machine tagged out at the bench, and returned.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, ConflictError, joinBench, perform, question, UsageError } from "../../shared/index.ts";
import type { Desk } from "../commands/command.ts";
import { refreshAfterBench } from "../upkeep.ts";
import { entering, entryOfKey, keepKey, nextId, pastInstant } from "./entry.ts";
import { machineFault } from "./place.ts";

const outagesQuestion = question(import.meta.url, "./outages.sql");
const insertOutage = question(import.meta.url, "./insert-outage.sql");
const endOutageQuestion = question(import.meta.url, "./end-outage.sql");

export interface OutageRow {
  id: string;
  machine: string;
  from: Date;
  until: Date | null;
  reason: string | null;
  by: string | null;
  endedBy: string | null;
  source: "bench" | "workshop file";
}

interface Wanted {
  machine?: string | undefined;
  since?: Date | undefined;
  until?: Date | undefined;
  asOf?: Date | undefined;
}

export const listOutages = (connection: DuckDBConnection, { machine, since, until, asOf }: Wanted): Promise<OutageRow[]> =>
  ask<OutageRow>(connection, outagesQuestion, {
    machine: machine ?? null,
    since: since ?? null,
    until: until ?? null,
    as_of: asOf ?? null,
  });

export interface TypedOutage {
  machine: string;
  from?: string | undefined;
  until?: string | undefined;
  reason?: string | undefined;
  by?: string | undefined;
  key?: string | undefined;
}

/** Tags a machine out. One that is out already is a ConflictError that carries its outage. */
export async function addOutage(desk: Desk, typed: TypedOutage): Promise<OutageRow> {
  const { connection, workshop } = desk;
  const wrong = machineFault(workshop.workshop, typed.machine);
  if (wrong) throw new UsageError(wrong);
  const now = new Date();
  const from = typed.from === undefined ? now : await pastInstant(desk, typed.from, { field: "from", side: "instant", now });
  const until = typed.until === undefined ? null : await pastInstant(desk, typed.until, { field: "until", side: "until", now });
  if (until !== null && until <= from)
    throw new UsageError({ field: "until", value: typed.until, expected: "a time after from" });
  return entering(desk, async () => {
    const all = await listOutages(connection, { machine: typed.machine });
    const known = await entryOfKey(connection, "outage", typed.key);
    if (known !== null) return all.find(({ id }) => id === String(known))!;
    const meets = all.find((other) => (until === null || other.from < until) && (other.until === null || other.until > from));
    if (meets) {
      throw new ConflictError(
        {
          field: "machine",
          value: typed.machine,
          expected: `a machine that is not out already (since ${meets.from.toISOString()})`,
        },
        { outage: meets },
      );
    }
    const id = await nextId(connection, "outage");
    const { machine, reason = null, by = null } = typed;
    await perform(connection, insertOutage, { id, machine, from, until, reason, by, now });
    await keepKey(connection, "outage", id, typed.key, now);
    await joinBench(connection);
    await refreshAfterBench(connection, desk.span.zone);
    return (await listOutages(connection, { machine })).find((row) => row.id === String(id))!;
  });
}

/** Returns a machine. An outage of the workshop file is ended there. */
export async function endOutage(
  desk: Desk,
  { id, until: typed, by }: { id: string; until?: string | undefined; by?: string | undefined },
): Promise<OutageRow> {
  const { connection } = desk;
  const now = new Date();
  const until = typed === undefined ? now : await pastInstant(desk, typed, { field: "until", side: "until", now });
  return entering(desk, async () => {
    const row = (await listOutages(connection, {})).find((outage) => outage.id === id);
    if (row === undefined)
      throw new UsageError({ field: "id", value: id, expected: "the id of an outage, as outage list shows it" });
    if (row.source !== "bench")
      throw new UsageError({
        field: "id",
        value: id,
        expected: "an outage typed at the bench; this one is ended in the workshop file",
      });
    if (row.until !== null && typed === undefined) return row;
    if (until <= row.from)
      throw new UsageError({ field: "until", value: typed ?? null, expected: `a time after ${row.from.toISOString()}` });
    await perform(connection, endOutageQuestion, { id: Number(id), until, by: by ?? null });
    await joinBench(connection);
    await refreshAfterBench(connection, desk.span.zone);
    return (await listOutages(connection, {})).find((outage) => outage.id === id)!;
  });
}
