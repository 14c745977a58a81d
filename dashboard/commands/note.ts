import { z } from "zod";
import { type Command, flag, type Row, storeCommand } from "./command.ts";

const by = z.string().optional().describe("who").meta({ placeholder: "NAME" });

export const noteAdd = storeCommand({
  name: "note add",
  summary: "say that something is wrong with a machine: it's dull",
  examples: ['almanac note add --machine planer --text "leaves ridges"'],
  options: z.object({
    machine: z.string().describe("the machine's id").meta({ placeholder: "M" }),
    text: z.string().min(1).max(1000).describe("what is wrong").meta({ placeholder: "TEXT" }),
    by,
    key: z.string().min(8).max(100).optional().describe("a name of its own for this entry").meta({ placeholder: "KEY" }),
  }),
  needs: "writes",
  http: "POST",
  need: "come-in",
  forBoard: "same",
  async run(desk, typed) {
    const { addNote } = await import("../service/notes.ts");
    return { head: {}, list: { name: "notes", rows: [await addNote(desk, typed)] as unknown as Row[] } };
  },
});

export const noteList = storeCommand({
  name: "note list",
  summary: "what members said of machines, newest first",
  examples: ["almanac note list --open"],
  options: z.object({
    machine: z.string().optional().describe("only this machine").meta({ placeholder: "M" }),
    open: flag("only those that nobody has looked at"),
  }),
  needs: "reads",
  http: "GET",
  need: "see-service",
  async run({ connection, span, isAsOfAsked }, wanted) {
    const { listNotes } = await import("../service/notes.ts");
    const rows = await listNotes(connection, { ...wanted, asOf: isAsOfAsked ? span.asOf : undefined });
    return { head: {}, list: { name: "notes", rows: rows as unknown as Row[] } };
  },
});

export const noteClose = storeCommand({
  name: "note close",
  summary: "say that somebody has looked",
  examples: ["almanac note close 4"],
  operands: "<id>",
  options: z.object({ id: z.coerce.number().int().min(1).describe("the note's id"), by }),
  needs: "writes",
  http: "POST",
  path: "note/:id/close",
  need: "do-service",
  async run(desk, typed) {
    const { closeNote } = await import("../service/notes.ts");
    return { head: {}, list: { name: "notes", rows: [await closeNote(desk, typed)] as unknown as Row[] } };
  },
});

export const noteCommands: readonly Command[] = [noteAdd, noteList, noteClose];
