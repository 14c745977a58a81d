// The service record: what was done, added line by line; an undo and a correction are lines of their own.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, ConflictError, joinBench, perform, question, renews, UsageError } from "../../shared/index.ts";
import type { Desk } from "../commands/command.ts";
import { entering, entryOfKey, keepKey, nextId, pastInstant } from "./entry.ts";
import { type Named, placeOf } from "./place.ts";
import { isFault, readingsFromTexts } from "./readings.ts";
import { takeFromShelf } from "./stock.ts";

const listQuestion = question(import.meta.url, "./list.sql");
const insertQuestion = question(import.meta.url, "./insert.sql");
const undoQuestion = question(import.meta.url, "./insert-undo.sql");
const nearQuestion = question(import.meta.url, "./near.sql");

export const FOUND = ["good", "worn", "failed", "damaged", "unknown"] as const;
export type FoundWord = (typeof FOUND)[number];

export interface ServiceRow extends Named {
  id: number;
  time: Date;
  timeUntil: Date | null;
  found: FoundWord;
  why: string | null;
  meterHours: number | null;
  readings: Record<string, number> | null;
  cost: number | null;
  note: string | null;
  by: string | null;
  undone: boolean;
  serial: string | null;
  corrects: number | null;
  correctedBy: number | null;
  withdrawn: boolean;
  enteredAt: Date;
  enteredAs: "typed" | "import";
}

/** What was done, as typed. */
export interface Typed {
  machine: string;
  part?: string | undefined;
  task: string;
  time?: string | undefined;
  until?: string | undefined;
  found: FoundWord;
  why?: string | undefined;
  meter?: number | undefined;
  reading: readonly string[];
  cost?: number | undefined;
  note?: string | undefined;
  by?: string | undefined;
  serial?: string | undefined;
  fromShelf?: number | undefined;
  key?: string | undefined;
  twice: boolean;
}

export interface Wanted {
  ids?: readonly number[];
  machine?: string | undefined;
  part?: string | undefined;
  task?: string | undefined;
  since?: Date | undefined;
  until?: Date | undefined;
  asOf?: Date | undefined;
}

/** Records in order of time, undone and corrected ones marked. */
export async function listRecords(connection: DuckDBConnection, wanted: Wanted): Promise<ServiceRow[]> {
  const rows = await ask<Omit<ServiceRow, "readings"> & { readings: string | null }>(connection, listQuestion, {
    ids: wanted.ids ? JSON.stringify(wanted.ids) : null,
    machine: wanted.machine ?? null,
    part: wanted.part ?? null,
    task: wanted.task ?? null,
    since: wanted.since ?? null,
    until: wanted.until ?? null,
    as_of: wanted.asOf ?? null,
  });
  return rows.map((row) => ({ ...row, readings: row.readings === null ? null : JSON.parse(row.readings) }));
}

/** A record as it is stored. */
export interface Stored extends Named {
  done_at: string;
  done_until: string | null;
  found: FoundWord;
  why: string | null;
  meter_hours: number | null;
  readings: string | null;
  cost: number | null;
  note: string | null;
  done_by: string | null;
  serial: string | null;
  corrects: number | null;
  withdrawn: boolean;
}

/** Adds records, numbered from the next on, within the caller's transaction; gives their numbers. */
export async function insertRecords(
  connection: DuckDBConnection,
  records: readonly Stored[],
  { at, by, as }: { at: Date; by: string; as: "typed" | "import" },
): Promise<number[]> {
  const first = await nextId(connection, "service");
  const rows = records.map((record, i) => ({
    ...record,
    record_id: first + i,
    entered_at: at.toISOString(),
    entered_by: by,
    entered_as: as,
  }));
  if (rows.length > 0) await perform(connection, insertQuestion, { rows: JSON.stringify(rows) });
  await joinBench(connection);
  return rows.map(({ record_id }) => record_id);
}

// Two volunteers who tick one task within this time did it once.
const SAME_MINUTES = 30;
const DAY_MS = 86_400_000;

/**
 * Adds what was done. The same key again gives the record it made before; another record of the task at about the same time is a
 * ConflictError that carries it, unless it was done `twice`.
 */
export async function addRecord(desk: Desk, typed: Typed): Promise<{ row: ServiceRow; isRepeated: boolean }> {
  const now = new Date();
  const { connection, workshop, surroundings } = desk;
  const place = placeOf(workshop.workshop, typed);
  const stored = { ...place, ...(await storedFrom(desk, typed, now)), corrects: null, withdrawn: false };
  return entering(desk, async () => {
    const known = await entryOfKey(connection, "service", typed.key);
    if (known !== null) return { row: (await listRecords(connection, { ids: [known] }))[0]!, isRepeated: true };
    if (!typed.twice) await refuseSecond(connection, stored, null);
    const [id] = await insertRecords(connection, [stored], { at: now, by: surroundings.who, as: "typed" });
    await keepKey(connection, "service", id!, typed.key, now);
    const part = workshop.workshop.machines
      .find((machine) => machine.id === place.machine)!
      .parts.find((one) => one.id === place.part)!;
    const task = part.tasks.find((one) => one.id === place.task)!;
    const isLive = now.getTime() - Date.parse(stored.done_until ?? stored.done_at) < DAY_MS;
    const pieces = typed.fromShelf ?? (renews(part, task) && isLive ? 1 : 0);
    if (pieces > 0)
      await takeFromShelf(connection, {
        ...place,
        pieces,
        serial: stored.serial,
        record: id!,
        by: stored.done_by,
        now,
        at: stored.done_at,
      });
    return { row: (await listRecords(connection, { ids: [id!] }))[0]!, isRepeated: false };
  });
}

async function storedFrom(desk: Desk, typed: Typed, now: Date): Promise<Omit<Stored, keyof Named | "corrects" | "withdrawn">> {
  const from = typed.time === undefined ? now : await pastInstant(desk, typed.time, { field: "time", side: "instant", now });
  const until = typed.until === undefined ? null : await pastInstant(desk, typed.until, { field: "until", side: "until", now });
  if (until !== null && until < from)
    throw new UsageError({ field: "until", value: typed.until, expected: "a time that is not before time" });
  const readings = readingsFromTexts(typed.reading);
  if (isFault(readings)) throw new UsageError(readings);
  return {
    done_at: from.toISOString(),
    done_until: until === null || until.getTime() === from.getTime() ? null : until.toISOString(),
    found: typed.found,
    why: typed.why ?? null,
    meter_hours: typed.meter ?? null,
    readings: Object.keys(readings).length > 0 ? JSON.stringify(readings) : null,
    cost: typed.cost ?? null,
    note: typed.note ?? null,
    done_by: typed.by ?? accountOf(desk),
    serial: typed.serial ?? null,
  };
}

/** Who is signed in; a terminal or an open page is nobody. */
const accountOf = ({ surroundings: { who } }: Desk): string | null => (NOBODY.has(who) ? null : who);
const NOBODY = new Set(["web", "command line", "this computer"]);

async function refuseSecond(connection: DuckDBConnection, stored: Stored, except: number | null): Promise<void> {
  const [near] = await ask<{ id: number }>(connection, nearQuestion, {
    machine: stored.machine,
    part: stored.part,
    task: stored.task,
    from: stored.done_at,
    until: stored.done_until ?? stored.done_at,
    minutes: SAME_MINUTES,
    except,
  });
  if (near === undefined) return;
  const [row] = await listRecords(connection, { ids: [near.id] });
  const who = row!.by === null ? "" : ` by ${row!.by}`;
  throw new ConflictError(
    {
      field: "task",
      value: stored.task,
      expected: `a task that is not recorded yet: record ${near.id} has it done${who} at ${row!.time.toISOString()}; say twice if it was done twice`,
    },
    { service: row },
  );
}

/** Takes a record back within a day of its entry. Undoing twice changes nothing. */
export async function undoRecord(desk: Desk, id: number): Promise<ServiceRow> {
  const { connection, surroundings } = desk;
  const now = new Date();
  return entering(desk, async () => {
    const row = await knownRecord(connection, id);
    if (row.undone) return row;
    if (now.getTime() - row.enteredAt.getTime() > DAY_MS) {
      throw new UsageError({
        field: "id",
        value: id,
        expected: "a record entered within the last day; an older one is put right by service correct, which keeps the old line",
      });
    }
    await perform(connection, undoQuestion, { id, at: now, by: surroundings.who });
    await joinBench(connection);
    return (await listRecords(connection, { ids: [id] }))[0]!;
  });
}

async function knownRecord(connection: DuckDBConnection, id: number): Promise<ServiceRow> {
  const [row] = await listRecords(connection, { ids: [id] });
  if (row === undefined)
    throw new UsageError({ field: "id", value: id, expected: "the id of a record, as service list shows it" });
  return row;
}

/** What a correction changes; the rest stays as it was. */
export type Correction = { [Word in Exclude<keyof Typed, "key" | "twice" | "fromShelf">]?: Typed[Word] | undefined } & {
  neverDone: boolean;
};

/** Puts a new line in a record's stead; the old one stays in the list, marked. */
export async function correctRecord(desk: Desk, id: number, change: Correction): Promise<ServiceRow[]> {
  const { connection, surroundings } = desk;
  const now = new Date();
  return entering(desk, async () => {
    const old = await knownRecord(connection, id);
    if (old.undone || old.correctedBy !== null) {
      const instead = old.undone ? "one that is not undone" : `the record that corrects it, ${old.correctedBy}`;
      throw new UsageError({ field: "id", value: id, expected: instead });
    }
    const place = placeOf(desk.workshop.workshop, {
      machine: change.machine ?? old.machine,
      part: change.part ?? old.part,
      task: change.task ?? old.task,
    });
    const typed: Typed = {
      ...place,
      time: change.time ?? old.time.toISOString(),
      until: change.until ?? (change.time === undefined ? old.timeUntil?.toISOString() : undefined),
      found: change.found ?? old.found,
      why: change.why ?? old.why ?? undefined,
      meter: change.meter ?? old.meterHours ?? undefined,
      reading: change.reading?.length
        ? change.reading
        : Object.entries(old.readings ?? {}).map(([name, value]) => `${name}=${value}`),
      cost: change.cost ?? old.cost ?? undefined,
      note: change.note ?? old.note ?? undefined,
      by: change.by ?? old.by ?? undefined,
      serial: change.serial ?? old.serial ?? undefined,
      twice: true,
    };
    const stored = { ...place, ...(await storedFrom(desk, typed, now)), corrects: id, withdrawn: change.neverDone };
    const [added] = await insertRecords(connection, [stored], { at: now, by: surroundings.who, as: "typed" });
    return listRecords(connection, { ids: [id, added!] });
  });
}
