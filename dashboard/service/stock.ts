// The shelf: pieces counted, bought, used by a service record, scrapped; and which piece is in the machine, by its serial.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question, UsageError } from "../../shared/index.ts";
import type { Desk } from "../commands/command.ts";
import { entering, entryOfKey, keepKey, nextId, pastInstant } from "./entry.ts";
import { machineFault, partFault } from "./place.ts";

const shelfQuestion = question(import.meta.url, "./shelf.sql");
const insertMove = question(import.meta.url, "./insert-move.sql");

export const MOVES = ["count", "bought", "used", "scrapped"] as const;

export interface ShelfRow {
  machine: string;
  part: string;
  class: string | null;
  inStock: number | null;
  countedAt: Date | null;
  bought: number;
  used: number;
  price: number | null;
  leadDays: number | null;
  serials: { serial: string; fittedAt: string; isFitted: boolean }[];
}

export async function shelf(
  connection: DuckDBConnection,
  { machine, part, asOf }: { machine?: string | undefined; part?: string | undefined; asOf: Date },
): Promise<ShelfRow[]> {
  const rows = await ask<Omit<ShelfRow, "serials"> & { serials: string }>(connection, shelfQuestion, {
    machine: machine ?? null,
    part: part ?? null,
    as_of: asOf,
  });
  return rows.map((row) => ({ ...row, serials: JSON.parse(row.serials) }));
}

interface Taken {
  machine: string;
  part: string;
  pieces: number;
  serial: string | null;
  record: number;
  by: string | null;
  at: string;
  now: Date;
}

/** Notes, in the caller's transaction, that a service record used pieces from the shelf. */
export async function takeFromShelf(
  connection: DuckDBConnection,
  { pieces, serial, record, by, at, now, machine, part }: Taken,
): Promise<void> {
  const id = await nextId(connection, "stock");
  await perform(connection, insertMove, {
    id,
    machine,
    part,
    at,
    kind: "used",
    pieces,
    serial,
    cost: null,
    note: null,
    record,
    by,
    now,
  });
}

export interface TypedMove {
  machine: string;
  part: string;
  kind: (typeof MOVES)[number];
  pieces: number;
  time?: string | undefined;
  cost?: number | undefined;
  note?: string | undefined;
  by?: string | undefined;
  key?: string | undefined;
}

/** Notes a movement; gives the part's shelf afterwards. The same key again changes nothing. */
export async function addMove(desk: Desk, typed: TypedMove): Promise<ShelfRow> {
  const { connection, workshop } = desk;
  const wrong = machineFault(workshop.workshop, typed.machine) ?? partFault(workshop.workshop, typed.machine, typed.part);
  if (wrong) throw new UsageError(wrong);
  const now = new Date();
  const at = typed.time === undefined ? now : await pastInstant(desk, typed.time, { field: "time", side: "instant", now });
  return entering(desk, async () => {
    if ((await entryOfKey(connection, "stock", typed.key)) === null) {
      const id = await nextId(connection, "stock");
      const { machine, part, kind, pieces, cost = null, note = null, by = null } = typed;
      await perform(connection, insertMove, {
        id,
        machine,
        part,
        at,
        kind,
        pieces,
        serial: null,
        cost,
        note,
        record: null,
        by,
        now,
      });
      await keepKey(connection, "stock", id, typed.key, now);
    }
    const [row] = await shelf(connection, { machine: typed.machine, part: typed.part, asOf: now > at ? now : at });
    return row!;
  });
}
