// A log on its way to DuckDB: linked into the work folder as it is where the byte pass found it clean and plain, else written there
// anew, one record a line: its line number, what is wrong with it, its cells in the order of PLACES, its text. Only delimited text
// without quotes is plain.
import { randomUUID } from "node:crypto";
import { constants, createWriteStream, readdirSync, rmSync } from "node:fs";
import { copyFile, type FileHandle, link, open, realpath } from "node:fs/promises";
import { join } from "node:path";
import { pipeline } from "node:stream/promises";
import type { DuckDBConnection } from "@duckdb/node-api";
import { FailedError } from "../../shared/errors.ts";
import type { Profile } from "../../shared/profile.ts";
import { perform, question } from "../../shared/question.ts";
import { type Columns, columnsFromHeader, type Envelope, fieldAt, KeysSeen, PLACES, placedCells } from "./fields.ts";
import { compactJson, ElementSplitter, hasPath, maybeObject, textAt } from "./json-records.ts";
import { isShortened, LineSplitter, type PhysicalLine, shortened } from "./physical-lines.ts";
import { type LogRecord, RecordAssembler } from "./records.ts";
import { openBytes, readError, type Survey, survey, type Watching } from "./survey.ts";

/** What DuckDB is shown. */
export interface Source {
  /** In the work folder. */
  path: string;
  gzip: boolean;
  /** Whether it is our own writing, else the log as it is. */
  spooled: boolean;
  /** Rows that DuckDB must find in it, the preamble included. */
  rows: number;
  /** Rows before the first record. */
  preamble: number;
  /** Number of the cell for each place, counted from 1; 0 where there is none. */
  cellOf: Record<(typeof PLACES)[number], number>;
  /** Columns of the header; 0 where nobody knows. */
  width: number;
  longestLine: number;
  /** Whether a cell may have white space around it. */
  padded: boolean;
  header: string[] | null;
  remove(): void;
}

export interface Reading extends Watching {
  name: string;
  path: string;
  profile: Profile;
  workDir: string;
  /** Whether the file may still be written: a last line that nothing ends yet is then left for the next reading. */
  isGrowing?: boolean;
}

const inUse = new Set<string>();
const SPOOL = "spool-";

/** A new path in the work folder. What an earlier process left there when it was killed is cleared away. */
export function newSpoolPath(workDir: string, ending: string): { path: string; remove(): void } {
  for (const left of readdirSync(workDir)) {
    if (left.startsWith(SPOOL) && !inUse.has(join(workDir, left))) rmSync(join(workDir, left), { force: true });
  }
  const path = join(workDir, `${SPOOL}${randomUUID()}${ending}`);
  inUse.add(path);
  return {
    path,
    remove: () => {
      rmSync(path, { force: true });
      inUse.delete(path);
    },
  };
}

/** Brings a delimited or JSON log before DuckDB. Throws UsageError for a column it lacks, FailedError for a damaged archive. */
export async function sourceFromFile(reading: Reading): Promise<Source> {
  const found = await survey(reading.path, reading.name, reading.profile, reading);
  const isDelimited = reading.profile.format === "csv" || reading.profile.format === "tsv";
  if (isDelimited && found.clean && !found.quoted && isPlainProfile(reading.profile)) {
    const plain = await maybePlain(reading, found);
    if (plain !== null) return plain;
  }
  return spooled(reading, found);
}

/** Whether each field is one column, cut out by one character. */
function isPlainProfile(profile: Profile): boolean {
  const isOneColumn = PLACES.every((place) => {
    const field = fieldAt(profile, place);
    return field === undefined || field.column?.length === 1;
  });
  return isOneColumn && profile.delimiter !== "spaces";
}

async function maybePlain(reading: Reading, found: Survey): Promise<Source | null> {
  const { profile } = reading;
  const first = profile.header ? await headerLine(reading, found) : null;
  if (profile.header && first === null) return null;
  const preamble = first === null ? profile.skip_lines : first.line;
  const header = first === null ? null : first.text;
  const names = header === null ? null : header.split(profile.delimiter);
  const columns = columnsFromHeader(profile, names, reading.name);
  const spool = newSpoolPath(reading.workDir, found.gzip ? ".gz" : ".txt");
  try {
    await linkOrCopy(reading.path, spool.path);
  } catch (error) {
    spool.remove();
    throw error;
  }
  return {
    path: spool.path,
    gzip: found.gzip,
    spooled: false,
    rows: reading.isGrowing === true ? found.endedLines : found.lines,
    preamble,
    cellOf: Object.fromEntries(PLACES.map((place) => [place, (columns[place][0] ?? -1) + 1])) as Source["cellOf"],
    width: names?.length ?? 0,
    longestLine: 1 << 20,
    padded: found.padded,
    header: names,
    remove: spool.remove,
  };
}

/** A file that others still write to is fine: what is behind the surveyed lines is left for the next reading. */
async function linkOrCopy(path: string, target: string): Promise<void> {
  const real = await realpath(path);
  try {
    await link(real, target);
  } catch (error) {
    const { code } = error as { code?: string };
    if (code === undefined || !["EXDEV", "EPERM", "EACCES", "EMLINK", "ENOTSUP", "EOPNOTSUPP", "ENOSYS"].includes(code))
      throw error;
    await copyFile(real, target, constants.COPYFILE_FICLONE);
  }
}

/** The header: the first line behind the skipped ones and the comments; null where that is blank or there is none. */
async function headerLine(reading: Reading, found: Survey): Promise<PhysicalLine | null> {
  const { skip_lines, comment } = reading.profile;
  for await (const line of physicalLines(reading, found)) {
    if (line.line <= skip_lines || (comment !== undefined && line.text.startsWith(comment))) continue;
    return line.text.trim() === "" ? null : line;
  }
  return null;
}

async function* physicalLines(reading: Reading, found: Survey): AsyncGenerator<PhysicalLine> {
  for await (const lines of physicalLineBatches(reading, found)) yield* lines;
}

async function* physicalLineBatches(reading: Reading, found: Survey): AsyncGenerator<PhysicalLine[]> {
  const { stream, totalBytes } = await openBytes(reading.path, reading.name);
  const splitter = new LineSplitter(found.encoding);
  let bytes = 0;
  try {
    for await (const chunk of stream as AsyncIterable<Buffer>) {
      reading.signal?.throwIfAborted();
      bytes += chunk.length;
      yield splitter.add(chunk);
      reading.onProgress?.({ bytes, totalBytes });
    }
  } catch (error) {
    throw readError(error, reading.name);
  } finally {
    stream.destroy();
  }
  const rest = splitter.end();
  if (reading.isGrowing !== true || found.lines === found.endedLines) yield rest;
}

async function spooled(reading: Reading, found: Survey): Promise<Source> {
  const { profile } = reading;
  const writer = await SpoolWriter.open(reading);
  try {
    if (profile.format === "json") {
      const { stream } = await openBytes(reading.path, reading.name);
      const decoder = new TextDecoder(found.encoding);
      const elements = new ElementSplitter();
      for await (const chunk of stream as AsyncIterable<Buffer>) {
        reading.signal?.throwIfAborted();
        for (const element of elements.add(decoder.decode(chunk, { stream: true }))) writer.element(element);
        await writer.flush();
      }
      for (const element of [...elements.add(decoder.decode()), ...elements.end()]) writer.element(element);
    } else {
      for await (const lines of physicalLineBatches(reading, found)) {
        for (const line of lines) writer.line(line);
        await writer.flush();
      }
    }
    return await writer.finish();
  } catch (error) {
    await writer.abandon();
    throw readError(error, reading.name);
  }
}

/**
 * Rows of a Parquet file, written out by DuckDB as JSON in the work folder and read on from there. Throws FailedError for a damaged
 * file, UsageError where it can't be opened.
 */
export async function sourceFromParquet(connection: DuckDBConnection, reading: Reading): Promise<Source> {
  const inside = newSpoolPath(reading.workDir, ".parquet");
  const rows = newSpoolPath(reading.workDir, ".ndjson");
  try {
    const { stream } = await openBytes(reading.path, reading.name);
    try {
      await pipeline(stream, createWriteStream(inside.path), reading.signal ? { signal: reading.signal } : {});
    } catch (error) {
      throw readError(error, reading.name);
    }
    await perform(connection, writeParquetRows, { path: inside.path, target: rows.path }).catch((error: unknown) => {
      throw new FailedError(
        { field: "file", value: reading.name, expected: "a sound Parquet file; nothing of it was stored" },
        error,
      );
    });
    const { profile } = reading;
    return await sourceFromFile({
      ...reading,
      path: rows.path,
      profile: { ...profile, format: "ndjson", encoding: "utf-8", skip_lines: 0 },
    });
  } finally {
    inside.remove();
    rows.remove();
  }
}

const writeParquetRows = question(import.meta.url, "./write-parquet-rows.sql");

/** Lines at hand (a live batch, rejects that are read again) on the same way. `header` stands for the file's own. */
export async function sourceFromLines(
  reading: Omit<Reading, "path">,
  lines: Iterable<{ line: number; text: string } & Envelope>,
  header: string[] | null,
): Promise<Source> {
  const writer = await SpoolWriter.open(reading, header);
  try {
    for (const { line, text, ...envelope } of lines) {
      const short = shortened(text);
      writer.alone({ line, text: short, tooLong: short !== text || isShortened(text) }, envelope);
      await writer.flush();
    }
    return await writer.finish();
  } catch (error) {
    await writer.abandon();
    throw error;
  }
}

const RECORD = "\x1e";
const CELL = "\x1f";
const ESCAPES: Record<string, string> = { "\x00": "0", "\x01": "1", "\x1b": "e", "\x1e": "r", "\x1f": "c", "\r": "m", "\n": "n" };
const SPECIAL = new RegExp(`[${Object.keys(ESCAPES).join("")}]`);
const BETWEEN = new RegExp(SPECIAL.source, "g");

/** What would be taken for our own marks is written behind an escape; `log_written` of the schema undoes it. */
const escaped = (text: string): string =>
  SPECIAL.test(text) ? text.replace(BETWEEN, (letter) => `\x1b${ESCAPES[letter]}`) : text;

const BUFFERED = 1 << 20;

class SpoolWriter {
  readonly #reading: Omit<Reading, "path">;
  readonly #handle: FileHandle;
  readonly #spool: { path: string; remove(): void };
  readonly #assembler: RecordAssembler;
  readonly #keys: KeysSeen;
  #header: string[] | null = null;
  #columns: Columns | null = null;
  #lastColumn = -1;
  #parts: string[] = [];
  #buffered = 0;
  #rows = 0;
  #longest = 0;

  static async open(reading: Omit<Reading, "path">, header?: string[] | null): Promise<SpoolWriter> {
    const spool = newSpoolPath(reading.workDir, ".spool");
    return new SpoolWriter(reading, spool, await open(spool.path, "wx"), header);
  }

  private constructor(
    reading: Omit<Reading, "path">,
    spool: { path: string; remove(): void },
    handle: FileHandle,
    header: string[] | null | undefined,
  ) {
    this.#reading = reading;
    this.#spool = spool;
    this.#handle = handle;
    this.#keys = new KeysSeen(reading.profile);
    this.#assembler = new RecordAssembler(reading.profile.delimiter, reading.profile.quote, () => this.#header?.length);
    if (header !== undefined && this.#isDelimited) this.#setHeader(header);
    else if (!reading.profile.header && this.#isDelimited) this.#setHeader(null);
  }

  get #isDelimited(): boolean {
    return this.#reading.profile.format === "csv" || this.#reading.profile.format === "tsv";
  }

  #setHeader(header: string[] | null): void {
    this.#header = header;
    const columns = columnsFromHeader(this.#reading.profile, header, this.#reading.name);
    this.#columns = columns;
    this.#lastColumn = Math.max(-1, ...PLACES.flatMap((place) => columns[place]));
  }

  /** A physical line of a file. */
  line(line: PhysicalLine): void {
    const { profile } = this.#reading;
    if (line.line <= profile.skip_lines) return;
    if (!this.#isDelimited) {
      if (profile.comment === undefined || !line.text.startsWith(profile.comment)) this.alone(line, {});
      return;
    }
    if (profile.comment !== undefined && line.text.startsWith(profile.comment) && !this.#assembler.isOpen) return;
    for (const record of this.#assembler.add(line)) this.#record(record, {});
  }

  /** A record that is whole by itself. */
  alone(line: PhysicalLine, envelope: Envelope): void {
    if (this.#isDelimited) {
      for (const record of [...this.#assembler.add(line), ...this.#assembler.end()]) this.#record(record, envelope);
      return;
    }
    if (line.tooLong) this.#write(line.line, "long", null, line.text);
    else if (/^\s*$/.test(line.text)) this.#write(line.line, "blank", null, line.text);
    else this.#object(line.line, line.text, line.text, envelope);
  }

  element(element: { number: number; text: string; tooLong: boolean }): void {
    if (element.tooLong) this.#write(element.number, "long", null, element.text);
    else this.#object(element.number, element.text, null, {});
  }

  #object(line: number, text: string, written: string | null, envelope: Envelope): void {
    const { profile } = this.#reading;
    if (PLACES.every((place) => (fieldAt(profile, place)?.column ?? []).length === 0)) {
      this.#write(
        line,
        "",
        placedCells(profile, () => null, text, envelope),
        text,
      );
      return;
    }
    const object = maybeObject(text);
    if (object === null) {
      this.#write(line, "json", null, written ?? text);
      return;
    }
    if (this.#keys.isWaiting) this.#keys.note((column) => hasPath(object, column));
    const cells = placedCells(profile, (_place, _index, column) => textAt(object, column), text, envelope);
    this.#write(line, "", cells, written ?? compactJson(text));
  }

  #record(record: LogRecord, envelope: Envelope): void {
    const { profile } = this.#reading;
    if (record.cells === null) {
      this.#write(record.line, record.fault ?? "blank", null, record.text);
      return;
    }
    if (this.#columns === null) {
      this.#setHeader(record.cells);
      return;
    }
    const cells = record.cells;
    const width = this.#header?.length;
    const isWide = width !== undefined && cells.length > width && cells.slice(width).some((cell) => cell.trim() !== "");
    if (cells.length <= this.#lastColumn || isWide) {
      this.#write(record.line, "width", [String(cells.length)], record.text);
      return;
    }
    const placed = placedCells(
      profile,
      (place, index) => cells[this.#columns![place][index] ?? -1] ?? null,
      record.text,
      envelope,
    );
    this.#write(record.line, "", placed, record.text);
  }

  #write(line: number, fault: string, cells: (string | null)[] | null, text: string): void {
    const written = (cells ?? []).map((cell) => escaped(cell ?? "")).join(CELL);
    const row = `${line}${RECORD}${fault}${RECORD}${written}${RECORD}${escaped(text)}\n`;
    this.#parts.push(row);
    this.#buffered += row.length;
    this.#rows++;
    if (row.length > this.#longest) this.#longest = row.length;
  }

  /** Writes out what has gathered, if it is enough to be worth it. */
  async flush(least = BUFFERED): Promise<void> {
    if (this.#buffered === 0 || this.#buffered < least) return;
    const text = this.#parts.join("");
    this.#parts = [];
    this.#buffered = 0;
    await this.#handle.writeFile(text);
  }

  async finish(): Promise<Source> {
    for (const record of this.#assembler.end()) this.#record(record, {});
    this.#keys.check(this.#reading.name);
    await this.flush(0);
    await this.#handle.close();
    return {
      path: this.#spool.path,
      gzip: false,
      spooled: true,
      rows: this.#rows,
      preamble: 0,
      cellOf: Object.fromEntries(
        PLACES.map((place, index) => [place, fieldAt(this.#reading.profile, place) === undefined ? 0 : index + 1]),
      ) as Source["cellOf"],
      width: 0,
      longestLine: this.#longest * 3,
      padded: true,
      header: this.#header,
      remove: this.#spool.remove,
    };
  }

  async abandon(): Promise<void> {
    await this.#handle.close();
    this.#spool.remove();
  }
}
