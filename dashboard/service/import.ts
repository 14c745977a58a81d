// A list of old records (CSV), read whole: every fault of every line is told in one go. A list with faults stores nothing unless the
// caller asks for its good lines; the same list twice adds nothing.
import { CsvError, parse } from "csv-parse/sync";
import {
  ask,
  instantFromTyped,
  instantsFromLocal,
  localFromTyped,
  oneOf,
  question,
  UsageError,
  type Workshop,
} from "../../shared/index.ts";
import type { Desk } from "../commands/command.ts";
import { entering } from "./entry.ts";
import { placeFault, type WordFault } from "./place.ts";
import { figureFromText, isFault, readingsFromTexts } from "./readings.ts";
import { FOUND, type FoundWord, insertRecords, listRecords, type ServiceRow, type Stored } from "./record.ts";

const knownLines = question(import.meta.url, "./known-lines.sql");

const NEEDED = ["time", "machine", "part", "task", "found"] as const;
const COLUMNS = [...NEEDED, "meter", "cost", "note", "by", "until", "why", "reading", "serial"] as const;
type Column = (typeof COLUMNS)[number];

export interface LineFault extends WordFault {
  file: string;
  /** Where the record starts, the header being line 1. */
  line: number;
}

interface Line {
  line: number;
  cells: Partial<Record<Column, string>>;
}

export interface Imported {
  services: ServiceRow[];
  lines: number;
  /** Lines that were there before, or twice in the list. */
  known: number;
  blank: number;
  /** Lines without a fault that were not known. */
  good: number;
  stored: number;
  faults: LineFault[];
}

/** The lines of a list, and what is wrong with their form. Throws UsageError where it has no header of such a list. */
export function linesFromCsv(text: string, file: string): { lines: Line[]; blank: number; faults: LineFault[] } {
  const delimiter = delimiterOf(text);
  const records: { line: number; cells: string[] }[] = [];
  const faults: LineFault[] = [];
  let before = 0;
  try {
    parse(text, {
      bom: true,
      delimiter,
      relax_column_count: true,
      skip_empty_lines: false,
      on_record: (record: string[], { lines }) => {
        records.push({ line: before + 1, cells: record });
        before = lines;
        return null;
      },
    });
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    faults.push({
      file,
      line: before + 1,
      field: "line",
      value: null,
      expected: "quotes that are opened and closed around whole fields",
    });
  }
  const [header, ...rows] = records;
  if (header === undefined)
    throw new UsageError({ file, line: 1, field: "header", value: "", expected: `a header like ${COLUMNS.join(",")}` });
  const names = header.cells.map((name) => name.trim().toLowerCase());
  const missing = NEEDED.find((name) => !names.includes(name));
  if (missing)
    throw new UsageError({
      file,
      line: 1,
      field: missing,
      value: header.cells.join(delimiter),
      expected: `a header with ${NEEDED.join(", ")}; further columns may be ${COLUMNS.slice(NEEDED.length).join(", ")}`,
    });
  const unknown = names.find((name, i) => !(COLUMNS as readonly string[]).includes(name) || names.indexOf(name) !== i);
  if (unknown !== undefined)
    throw new UsageError({ file, line: 1, field: "header", value: unknown, expected: `${oneOf(COLUMNS, unknown)}, each once` });
  const lines: Line[] = [];
  let blank = 0;
  for (const { line, cells } of rows) {
    if (cells.every((cell) => cell.trim() === "")) blank += 1;
    else if (cells.length > names.length) {
      faults.push({
        file,
        line,
        field: "line",
        value: cells.join(delimiter),
        expected: `${names.length} fields as in the header; a field with ${delimiter} in it stands in quotes`,
      });
    } else {
      lines.push({ line, cells: Object.fromEntries(cells.map((cell, i) => [names[i]!, cell.trim()])) });
    }
  }
  return { lines, blank, faults };
}

function delimiterOf(text: string): string {
  const [header = ""] = text.split("\n", 1);
  const counts = [",", ";", "\t"].map((mark) => [mark, header.split(mark).length] as const);
  return counts.reduce((best, count) => (count[1] > best[1] ? count : best))[0];
}

/** A line as a record, its times still as typed, or all its faults. */
function recordFromLine(
  { cells, line }: Line,
  workshop: Workshop,
  file: string,
): { record: Omit<Stored, "done_at" | "done_until"> & { time: string; until: string | null } } | { faults: LineFault[] } {
  const faults: LineFault[] = [];
  const wrong = (fault: WordFault | null): void => {
    if (fault) faults.push({ file, line, ...fault });
  };
  const text = (name: Column): string | null => cells[name] || null;
  const time = (name: "time" | "until"): string | null => {
    const typed = text(name);
    if (typed === null) return null;
    try {
      instantFromTyped(typed, workshop.workshop.zone, { field: name, side: name === "until" ? "until" : "instant" });
    } catch (error) {
      if (!(error instanceof UsageError)) throw error;
      wrong({ field: name, value: typed, expected: error.complaint.expected });
      return null;
    }
    if (typed.toLowerCase() === "now")
      wrong({ field: name, value: typed, expected: "a date or a time, since a list is read again later" });
    return typed;
  };
  const figure = (name: "meter" | "cost"): number | null => {
    const typed = text(name);
    if (typed === null) return null;
    const value = figureFromText(typed);
    if (value === undefined || value < 0) {
      wrong({ field: name, value: typed, expected: "a number from 0, like 812.4, or nothing" });
      return null;
    }
    return value;
  };
  const typedTime = time("time");
  if (text("time") === null)
    wrong({ field: "time", value: null, expected: "when it was done: a date yyyy-mm-dd or a time yyyy-mm-ddThh:mm" });
  const until = time("until");
  wrong(placeFault(workshop, { machine: cells.machine ?? "", part: cells.part ?? "", task: cells.task ?? "" }));
  const found = text("found");
  if (found === null || !(FOUND as readonly string[]).includes(found)) {
    wrong({ field: "found", value: found, expected: `${oneOf(FOUND, found ?? undefined)}; unknown where nobody looked` });
  }
  const meter = figure("meter");
  const cost = figure("cost");
  const readings = readingsFromTexts((cells.reading ?? "").split(";").filter((part) => part.trim() !== ""));
  if (isFault(readings)) wrong(readings);
  if (faults.length > 0) return { faults };
  return {
    record: {
      machine: cells.machine!,
      part: cells.part!,
      task: cells.task!,
      time: typedTime!,
      until,
      found: found as FoundWord,
      why: text("why"),
      meter_hours: meter,
      readings: isFault(readings) || Object.keys(readings).length === 0 ? null : JSON.stringify(readings),
      cost,
      note: text("note"),
      done_by: text("by"),
      serial: text("serial"),
      corrects: null,
      withdrawn: false,
    },
  };
}

/** Reads a list into the record. With `goodLines` those without a fault are stored though others have one. */
export async function importRecords(
  desk: Desk,
  text: string,
  file: string,
  { goodLines }: { goodLines: boolean },
): Promise<Imported> {
  const { connection, workshop, span, surroundings } = desk;
  const { lines, blank, faults } = linesFromCsv(text, file);
  const now = new Date();
  const read = lines.map((line) => ({ line: line.line, ...recordFromLine(line, workshop.workshop, file) }));
  faults.push(...read.flatMap((one) => ("faults" in one ? one.faults : [])));
  const sound = read.flatMap((one) => ("record" in one ? [{ line: one.line, ...one.record }] : []));
  const sides = sound.flatMap(({ time, until }) => [
    { text: time, side: "instant" as const },
    ...(until === null ? [] : [{ text: until, side: "until" as const }]),
  ]);
  const instants = await instantsFromLocal(connection, span.zone, [
    ...new Set(sides.flatMap(({ text: typed, side }) => localFromTyped(typed, side) ?? [])),
  ]);
  const instant = (typed: string, side: "instant" | "until"): Date => {
    const local = localFromTyped(typed, side);
    return local === undefined ? instantFromTyped(typed, span.zone, { field: "time", side }) : new Date(instants.get(local)!);
  };
  const records = sound.flatMap(({ line, time, until, ...record }) => {
    const from = instant(time, "instant");
    const to = until === null ? null : instant(until, "until");
    const wrong =
      from > now
        ? { field: "time", value: time, expected: "a time that is past: what is planned is not done" }
        : to !== null && to < from
          ? { field: "until", value: until, expected: `a time that is not before ${time}` }
          : null;
    if (wrong) {
      faults.push({ file, line, ...wrong });
      return [];
    }
    const end = to === null || to.getTime() === from.getTime() ? null : to > now ? now : to;
    return [{ line, ...record, done_at: from.toISOString(), done_until: end === null ? null : end.toISOString() }];
  });
  faults.sort((a, b) => a.line - b.line);
  return entering(desk, async () => {
    const asked = records.map(({ corrects: _, withdrawn: __, ...row }) => row);
    const there = new Set(
      (await ask<{ line: number }>(connection, knownLines, { rows: JSON.stringify(asked) })).map(({ line }) => line),
    );
    const seen = new Set<string>();
    const fresh = records.filter(({ line, ...record }) => {
      const mark = JSON.stringify(record);
      if (there.has(line) || seen.has(mark)) return false;
      seen.add(mark);
      return true;
    });
    const isTaken = faults.length === 0 || goodLines;
    const ids = isTaken
      ? await insertRecords(
          connection,
          fresh.map(({ line: _, ...record }) => record),
          { at: now, by: surroundings.who, as: "import" },
        )
      : [];
    return {
      services: ids.length > 0 ? await listRecords(connection, { ids }) : [],
      lines: lines.length + blank + new Set(faults.filter(({ field }) => field === "line").map(({ line }) => line)).size,
      known: records.length - fresh.length,
      blank,
      good: fresh.length,
      stored: ids.length,
      faults,
    };
  });
}
