// A flat answer on its way out: as nested rows, as an Arrow stream or as CSV, from DuckDB's own chunks or from plain rows.
//
// Flat columns carry their place in their name: enabledHours_low, enabledHours_best and enabledHours_high are one
// {low, best, high} in JSON and three columns in Arrow and CSV.
import {
  type DuckDBConnection,
  type DuckDBDataChunk,
  type DuckDBMaterializedResult,
  type DuckDBType,
  DuckDBTypeId,
  type DuckDBValue,
} from "@duckdb/node-api";
import duckdb from "@duckdb/node-bindings";
import * as A from "apache-arrow";
import { type Bound, bindable, QueryError, type Question } from "./question.ts";

/** What a column may hold. `instant` is a point in time, `clock` a reading of the workshop's own clock, `date` a local day. */
export type ColumnKind = "integer" | "double" | "boolean" | "text" | "word" | "instant" | "clock" | "date";

export interface Column {
  readonly name: string;
  readonly kind: ColumnKind;
}

/** One value as JSON has it: times as RFC 3339 in UTC, clock readings without an offset, dates as YYYY-MM-DD. */
export type Cell = string | number | boolean | null;

/** A materialised flat answer; may be read as often as one likes, as long as its connection's instance is open. */
export interface Relation {
  readonly columns: readonly Column[];
  readonly rowCount: number;
  /** Column by column, some thousand rows at a time. */
  cells(): Iterable<Cell[][]>;
  /** Record batches of at most 65,536 rows. */
  batches(schema: A.Schema): Iterable<A.RecordBatch>;
  arrowTypes(): A.DataType[];
}

const BATCH_ROWS = 65_536;

/** Asks a question whose answer may be large; the rows stay in DuckDB's own chunks. */
export async function askRelation(
  connection: DuckDBConnection,
  asked: Question,
  values: Record<string, Bound> = {},
): Promise<Relation> {
  try {
    return relationFromResult(await connection.run(asked.sql, bindable(values)));
  } catch (error) {
    throw new QueryError(asked.file, error);
  }
}

/** Wraps a materialised result. Throws TypeError, with the column's name, for a type that has no place in a flat answer. */
export function relationFromResult(result: DuckDBMaterializedResult): Relation {
  const types = result.columnTypes();
  const columns = result.columnNames().map((name, i): Column => ({ name, kind: kindFromType(name, types[i]!) }));
  const chunks = function* (): Generator<DuckDBDataChunk> {
    for (let i = 0; i < result.chunkCount; i++) yield result.getChunk(i);
  };
  const dictionaries = types.map((type) =>
    type.typeId === DuckDBTypeId.ENUM
      ? A.vectorFromArray((type as { values: readonly string[] } & DuckDBType).values, new A.Utf8())
      : null,
  );
  const arrow = types.map((type, i) => arrowFromType(columns[i]!.kind, type, i));
  return {
    columns,
    rowCount: result.rowCount,
    arrowTypes: () => arrow,
    *cells() {
      for (const chunk of chunks()) {
        yield columns.map(({ kind }, i) => chunk.getColumnValues(i).map((value) => cellFromValue(kind, value)));
      }
    },
    *batches(schema) {
      let waiting: DuckDBDataChunk[] = [];
      let rows = 0;
      const batch = (): A.RecordBatch => {
        const children = columns.map(({ kind }, i) => dataFromChunks(kind, arrow[i]!, waiting, i, rows, dictionaries[i] ?? null));
        return new A.RecordBatch(schema, A.makeData({ type: new A.Struct(schema.fields), length: rows, nullCount: 0, children }));
      };
      for (const chunk of chunks()) {
        waiting.push(chunk);
        rows += chunk.rowCount;
        if (rows + 2048 > BATCH_ROWS) {
          yield batch();
          waiting = [];
          rows = 0;
        }
      }
      if (rows > 0) yield batch();
    },
  };
}

function kindFromType(name: string, type: DuckDBType): ColumnKind {
  switch (type.typeId) {
    case DuckDBTypeId.TINYINT:
    case DuckDBTypeId.SMALLINT:
    case DuckDBTypeId.INTEGER:
      return "integer";
    case DuckDBTypeId.DOUBLE:
      return "double";
    case DuckDBTypeId.BOOLEAN:
      return "boolean";
    case DuckDBTypeId.VARCHAR:
      return "text";
    case DuckDBTypeId.ENUM:
      return "word";
    case DuckDBTypeId.TIMESTAMP_TZ:
      return "instant";
    case DuckDBTypeId.TIMESTAMP:
      return "clock";
    case DuckDBTypeId.DATE:
      return "date";
    default:
      throw new TypeError(`column ${name} of type ${type}: cast it to integer, double, boolean, varchar, date or a timestamp`);
  }
}

function arrowFromType(kind: ColumnKind, type: DuckDBType, id: number): A.DataType {
  switch (kind) {
    case "integer":
      return type.typeId === DuckDBTypeId.TINYINT
        ? new A.Int8()
        : type.typeId === DuckDBTypeId.SMALLINT
          ? new A.Int16()
          : new A.Int32();
    case "double":
      return new A.Float64();
    case "boolean":
      return new A.Bool();
    case "text":
      return new A.Utf8();
    case "word": {
      const words = (type as { values: readonly string[] } & DuckDBType).values.length;
      return new A.Dictionary(new A.Utf8(), words <= 256 ? new A.Uint8() : words <= 65_536 ? new A.Uint16() : new A.Uint32(), id);
    }
    default:
      return new A.DateMillisecond();
  }
}

/** Joins one column of some chunks into Arrow's buffers. DuckDB's validity bits are laid out as Arrow's; a full chunk has 2048
 * rows, so that joined bitmaps stay on byte bounds; a short one in the middle is copied bit by bit. */
function dataFromChunks(
  kind: ColumnKind,
  type: A.DataType,
  chunks: readonly DuckDBDataChunk[],
  column: number,
  length: number,
  dictionary: A.Vector | null,
): A.Data {
  const width = { integer: 4, double: 8, boolean: 1, text: 16, word: 1, instant: 8, clock: 8, date: 4 }[kind];
  const bytesEach =
    type instanceof A.Int8
      ? 1
      : type instanceof A.Int16
        ? 2
        : type instanceof A.Dictionary
          ? (type.indices.bitWidth / 8) | 0
          : width;
  const bits = new Uint8Array(Math.ceil(length / 64) * 8).fill(255);
  const raw = kind === "text" ? null : new Uint8Array(length * bytesEach);
  const offsets = kind === "text" ? new Int32Array(length + 1) : null;
  let text = new Uint8Array(kind === "text" ? Math.max(64, length * 12) : 0);
  let textLength = 0;
  let hasNulls = false;
  let row = 0;
  for (const chunk of chunks) {
    const rows = chunk.rowCount;
    const vector = duckdb.data_chunk_get_vector(chunk.chunk, column);
    const source = duckdb.vector_get_data(vector, rows * bytesEach);
    const valid = duckdb.vector_get_validity(vector, Math.ceil(rows / 64) * 8);
    if (valid !== null) {
      for (let i = 0; i < rows; i++) {
        if (((valid[i >> 3]! >> (i & 7)) & 1) === 0) {
          const at = row + i;
          bits[at >> 3] = bits[at >> 3]! & ~(1 << (at & 7));
          hasNulls = true;
        }
      }
    }
    if (raw) {
      raw.set(source.subarray(0, rows * bytesEach), row * bytesEach);
    } else {
      const view = new DataView(source.buffer, source.byteOffset, rows * 16);
      for (let i = 0; i < rows; i++) {
        const isValid = valid === null || ((valid[i >> 3]! >> (i & 7)) & 1) === 1;
        const bytes = isValid ? view.getUint32(i * 16, true) : 0;
        if (textLength + bytes > text.length) {
          const wider = new Uint8Array(Math.max(text.length * 2, textLength + bytes));
          wider.set(text.subarray(0, textLength));
          text = wider;
        }
        if (bytes <= 12) {
          for (let j = 0, from = i * 16 + 4; j < bytes; j++) text[textLength + j] = source[from + j]!;
        } else {
          text.set(duckdb.get_data_from_pointer(source.buffer as ArrayBuffer, source.byteOffset + i * 16 + 8, bytes), textLength);
        }
        textLength += bytes;
        offsets![row + i + 1] = textLength;
      }
    }
    row += rows;
  }
  const shared = { type, length, nullCount: hasNulls ? -1 : 0, nullBitmap: hasNulls ? bits : null };
  switch (kind) {
    case "text":
      return A.makeData({ ...shared, type: type as A.Utf8, valueOffsets: offsets!, data: text.subarray(0, textLength) });
    case "boolean": {
      const packed = new Uint8Array(Math.ceil(length / 64) * 8);
      for (let i = 0; i < length; i++) if (raw![i]) packed[i >> 3] = packed[i >> 3]! | (1 << (i & 7));
      return A.makeData({ ...shared, type: type as A.Bool, data: packed });
    }
    case "instant":
    case "clock": {
      const micros = new BigInt64Array(raw!.buffer);
      const millis = new BigInt64Array(length);
      for (let i = 0; i < length; i++) millis[i] = floorThousand(micros[i]!);
      return A.makeData({ ...shared, type: type as A.DateMillisecond, data: millis });
    }
    case "date": {
      const days = new Int32Array(raw!.buffer);
      const millis = BigInt64Array.from(days, (day) => BigInt(day) * 86_400_000n);
      return A.makeData({ ...shared, type: type as A.DateMillisecond, data: millis });
    }
    case "word": {
      const codes = bytesEach === 1 ? raw! : bytesEach === 2 ? new Uint16Array(raw!.buffer) : new Uint32Array(raw!.buffer);
      return A.makeData({ ...shared, type: type as A.Dictionary, data: codes, dictionary: dictionary! });
    }
    default: {
      const data =
        type instanceof A.Float64
          ? new Float64Array(raw!.buffer)
          : bytesEach === 1
            ? new Int8Array(raw!.buffer)
            : bytesEach === 2
              ? new Int16Array(raw!.buffer)
              : new Int32Array(raw!.buffer);
      return A.makeData({ ...shared, type: type as A.Int32, data: data as Int32Array });
    }
  }
}

const floorThousand = (micros: bigint): bigint => (micros >= 0n ? micros / 1000n : (micros - 999n) / 1000n);

function cellFromValue(kind: ColumnKind, value: DuckDBValue): Cell {
  if (value === null || value === undefined) return null;
  switch (kind) {
    case "instant":
      return isoFromMicros((value as { micros: bigint }).micros);
    case "clock":
      return isoFromMicros((value as { micros: bigint }).micros).slice(0, -1);
    case "date":
      return new Date((value as { days: number }).days * 86_400_000).toISOString().slice(0, 10);
    default:
      return value as Cell;
  }
}

/** RFC 3339 in UTC; without a fraction where the second is whole. */
const isoFromMicros = (micros: bigint): string => isoFromDate(new Date(Number(floorThousand(micros))));

/** RFC 3339 in UTC, without a fraction where the second is whole. */
export const isoFromDate = (date: Date): string => date.toISOString().replace(".000Z", "Z");

/** Plain rows of a relation: x_low, x_best and x_high nested as x: {low, best, high}; times as text. */
export function rowsFromRelation<Row = Record<string, unknown>>(relation: Relation): Row[] {
  const names = relation.columns.map((column) => column.name);
  const places = names.map((name) => {
    const stem = /^(.+)_(low|best|high)$/.exec(name);
    const isRange = stem !== null && ["low", "best", "high"].every((end) => names.includes(`${stem[1]}_${end}`));
    return isRange ? { name: stem[1]!, end: stem[2]! } : { name, end: null };
  });
  const rows: Record<string, unknown>[] = [];
  for (const cells of relation.cells()) {
    const count = cells[0]?.length ?? 0;
    for (let i = 0; i < count; i++) {
      const row: Record<string, unknown> = {};
      for (let j = 0; j < places.length; j++) {
        const { name, end } = places[j]!;
        const cell = cells[j]![i];
        if (end === null) row[name] = cell;
        else {
          row[name] ??= {};
          (row[name] as Record<string, unknown>)[end] = cell;
        }
      }
      rows.push(row);
    }
  }
  return rows as Row[];
}

/**
 * The relation as bytes of an Arrow IPC stream. Nothing is made before it is asked for, so that a slow reader holds the work
 * back: hand it to `Readable.from(bytes, {objectMode: false, highWaterMark: 1 << 18})`.
 */
export async function* arrowFromRelation(relation: Relation): AsyncGenerator<Uint8Array> {
  const types = relation.arrowTypes();
  const schema = new A.Schema(relation.columns.map(({ name }, i) => new A.Field(name, types[i]!, true)));
  const sink = new Parts();
  const writer = new A.RecordBatchStreamWriter().reset(sink, schema);
  for (const batch of relation.batches(schema)) {
    writer.write(batch);
    yield* sink.take();
  }
  writer.finish();
  yield* sink.take();
}

class Parts extends A.AsyncByteQueue<Uint8Array> {
  private parts: Uint8Array[] = [];
  override write(value: unknown): void {
    if (value instanceof Uint8Array && value.byteLength > 0) this.parts.push(value);
  }
  take(): Uint8Array[] {
    const taken = this.parts;
    this.parts = [];
    return taken;
  }
}

/**
 * The relation as CSV (RFC 4180: CRLF, quotes where needed), some thousand rows a piece. A text that a spreadsheet would take
 * for a formula (it begins with = + - @, tab or return and is no number) gets a ' before it.
 */
export async function* csvFromRelation(relation: Relation): AsyncGenerator<string> {
  yield `${relation.columns.map(({ name }) => csvField(name)).join(",")}\r\n`;
  for (const cells of relation.cells()) {
    const count = cells[0]?.length ?? 0;
    const lines: string[] = [];
    for (let i = 0; i < count; i++) lines.push(`${cells.map((column) => csvField(column[i] ?? null)).join(",")}\r\n`);
    if (lines.length > 0) yield lines.join("");
  }
}

function csvField(cell: Cell): string {
  if (cell === null) return "";
  if (typeof cell !== "string") return String(cell);
  const isNumber = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/.test(cell);
  const tame = /^[=+\-@\t\r]/.test(cell) && !isNumber ? `'${cell}` : cell;
  return /[",\r\n]/.test(tame) ? `"${tame.replaceAll('"', '""')}"` : tame;
}

/**
 * A relation of plain rows. {low, best, high} becomes three columns, other objects and lists JSON text. `kinds` names the
 * kind of columns that need one (of an empty list, say); else numbers are double, RFC 3339 stamps instants, the rest text.
 */
export function relationFromRows(rows: readonly object[], kinds: Record<string, ColumnKind> = {}): Relation {
  const flat = rows.map(flatRow);
  const names = [...new Set([...flat.flatMap((row) => Object.keys(row)), ...Object.keys(kinds)])];
  const values = names.map((name) => flat.map((row) => row[name] ?? null));
  const columns = names.map((name, i): Column => ({ name, kind: kinds[name] ?? kindFromCells(values[i]!) }));
  const types = columns.map(({ kind }) => arrowFromKind(kind));
  const bounds = Array.from({ length: Math.ceil(rows.length / BATCH_ROWS) }, (_, i) => i * BATCH_ROWS);
  return {
    columns,
    rowCount: rows.length,
    arrowTypes: () => types,
    *cells() {
      for (const from of bounds) {
        yield values.map((column, i) =>
          columns[i]!.kind === "text"
            ? column.slice(from, from + BATCH_ROWS).map((cell) => (cell === null ? null : String(cell)))
            : column.slice(from, from + BATCH_ROWS),
        );
      }
    },
    *batches(schema) {
      for (const from of bounds) {
        const children = columns.map(({ kind }, i) => {
          const part = values[i]!.slice(from, from + BATCH_ROWS).map((cell) => arrowCell(kind, cell));
          return A.vectorFromArray(part, types[i]!).data[0]!;
        });
        const length = Math.min(BATCH_ROWS, rows.length - from);
        yield new A.RecordBatch(schema, A.makeData({ type: new A.Struct(schema.fields), length, nullCount: 0, children }));
      }
    },
  };
}

function flatRow(row: object): Record<string, Cell> {
  const flat: Record<string, Cell> = {};
  for (const [name, value] of Object.entries(row)) {
    if (value === undefined) continue;
    if (value === null || typeof value === "string" || typeof value === "number" || typeof value === "boolean")
      flat[name] = value;
    else if (value instanceof Date) flat[name] = isoFromDate(value);
    else if (isRange(value)) for (const end of ["low", "best", "high"] as const) flat[`${name}_${end}`] = value[end];
    else flat[name] = JSON.stringify(value);
  }
  return flat;
}

const isRange = (value: unknown): value is Record<"low" | "best" | "high", number | null> =>
  typeof value === "object" && value !== null && Object.keys(value).sort().join() === "best,high,low";

function kindFromCells(cells: readonly Cell[]): ColumnKind {
  const known = cells.filter((cell) => cell !== null);
  if (known.length === 0) return "text";
  if (known.every((cell) => typeof cell === "number")) return "double";
  if (known.every((cell) => typeof cell === "boolean")) return "boolean";
  const stamp = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z$/;
  return known.every((cell) => typeof cell === "string" && stamp.test(cell)) ? "instant" : "text";
}

function arrowFromKind(kind: ColumnKind): A.DataType {
  switch (kind) {
    case "integer":
      return new A.Int32();
    case "double":
      return new A.Float64();
    case "boolean":
      return new A.Bool();
    case "text":
    case "word":
      return new A.Utf8();
    default:
      return new A.DateMillisecond();
  }
}

function arrowCell(kind: ColumnKind, cell: Cell): unknown {
  if (cell === null) return null;
  if (kind === "instant" || kind === "date") return new Date(String(cell));
  if (kind === "clock") return new Date(`${cell}Z`);
  return kind === "text" ? String(cell) : cell;
}
