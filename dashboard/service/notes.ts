// Notes of members on a machine ("it's dull"), open until somebody has looked.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question, UsageError } from "../../shared/index.ts";
import type { Desk } from "../commands/command.ts";
import { entering, entryOfKey, keepKey, nextId } from "./entry.ts";
import { machineFault } from "./place.ts";

const notesQuestion = question(import.meta.url, "./notes.sql");
const insertNote = question(import.meta.url, "./insert-note.sql");
const closeQuestion = question(import.meta.url, "./close-note.sql");

export interface NoteRow {
  id: number;
  machine: string;
  time: Date;
  text: string;
  by: string | null;
  closedAt: Date | null;
  closedBy: string | null;
}

export const listNotes = (
  connection: DuckDBConnection,
  { machine, open, asOf }: { machine?: string | undefined; open: boolean; asOf?: Date | undefined },
): Promise<NoteRow[]> => ask<NoteRow>(connection, notesQuestion, { machine: machine ?? null, open, as_of: asOf ?? null });

const noteOf = async (connection: DuckDBConnection, id: number): Promise<NoteRow | undefined> =>
  (await listNotes(connection, { open: false })).find((note) => note.id === id);

export async function addNote(
  desk: Desk,
  { machine, text, by, key }: { machine: string; text: string; by?: string | undefined; key?: string | undefined },
): Promise<NoteRow> {
  const wrong = machineFault(desk.workshop.workshop, machine);
  if (wrong) throw new UsageError(wrong);
  const { connection } = desk;
  const now = new Date();
  return entering(desk, async () => {
    const known = await entryOfKey(connection, "note", key);
    const id = known ?? (await nextId(connection, "note"));
    if (known === null) {
      await perform(connection, insertNote, { id, machine, at: now, text, by: by ?? null, now });
      await keepKey(connection, "note", id, key, now);
    }
    return (await noteOf(connection, id))!;
  });
}

export async function closeNote(desk: Desk, { id, by }: { id: number; by?: string | undefined }): Promise<NoteRow> {
  const { connection } = desk;
  return entering(desk, async () => {
    await perform(connection, closeQuestion, { id, at: new Date(), by: by ?? null });
    const note = await noteOf(connection, id);
    if (note === undefined) throw new UsageError({ field: "id", value: id, expected: "the id of a note, as note list shows it" });
    return note;
  });
}
