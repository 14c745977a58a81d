// The outer shape of an unknown file: what separates its cells, whether it has a header, what stands before it, and a sample of rows.
import { cellsOf } from "../reading/cells.ts";
import { hasPath, type JsonObject, maybeObject, textAt } from "../reading/json-records.ts";

export interface Shape {
  format: "csv" | "tsv" | "ndjson" | "json" | "parquet";
  delimiter: string | null;
  header: boolean;
  skipLines: number;
  comment: string | null;
  /** Names of the columns, numbers from 1 where the file has no header, paths of JSON. */
  columns: string[];
  rows: (string | null)[][];
}

const DELIMITERS = [",", ";", "\t", "|", "spaces"];
const COMMENTS = ["#", ";", "%", "//"];

/** The shape of delimited text, or null where no separator gives rows of equal width. */
export function maybeDelimited(lines: readonly string[]): Shape | null {
  const comment =
    COMMENTS.find(
      (mark) => lines[0]?.startsWith(mark) === true && (mark !== ";" || lines[0].startsWith("; ") || lines[0].startsWith(";;")),
    ) ?? null;
  const candidates = DELIMITERS.map((delimiter) => shapeBy(lines, delimiter, comment)).filter((shape) => shape !== null);
  // Runs of white space separate anything that has blanks in it: the last resort.
  const marked = candidates.filter(({ delimiter }) => delimiter !== "spaces");
  return (marked.length > 0 ? marked : candidates).sort((a, b) => b.columns.length - a.columns.length)[0] ?? null;
}

function shapeBy(lines: readonly string[], delimiter: string, comment: string | null): Shape | null {
  const kept = lines
    .map((text, index) => ({ text, index }))
    .filter(({ text }) => text.trim() !== "" && (comment === null || !text.startsWith(comment)));
  const split = kept.flatMap(({ text, index }) => {
    const read = cellsOf(text, delimiter, '"');
    return read.kind === "whole" ? [{ index, cells: read.cells.map((cell) => cell.trim()) }] : [];
  });
  const widths = new Map<number, number>();
  for (const { cells } of split) widths.set(cells.length, (widths.get(cells.length) ?? 0) + 1);
  const [width, many] = [...widths].sort((a, b) => b[1] - a[1])[0] ?? [0, 0];
  if (width < 2 || many < 0.8 * split.length || many < 2) return null;
  const first = split.findIndex(({ cells }) => cells.length === width);
  const even = split.slice(first).filter(({ cells }) => cells.length === width);
  const header = isHeader(even.map(({ cells }) => cells));
  const names = header ? even[0]!.cells : even[0]!.cells.map((_, column) => String(column + 1));
  return {
    format: delimiter === "\t" ? "tsv" : "csv",
    delimiter: delimiter === "\t" || delimiter === "," ? null : delimiter,
    header,
    skipLines: comment === null ? even[0]!.index : 0,
    comment,
    columns: names,
    rows: even.slice(header ? 1 : 0).map(({ cells }) => cells.map((cell) => (cell === "" ? null : cell))),
  };
}

const isFigure = (cell: string): boolean => /^[-+]?[\d.,:/ T-]*\d[\d.,:/ TZ-]*$/.test(cell);

/** A first row of distinct words, none of them a figure, above rows that have some. */
function isHeader(rows: string[][]): boolean {
  const [first, ...behind] = rows;
  if (first === undefined || behind.length === 0) return false;
  if (first.some((cell) => cell === "" || isFigure(cell)) || new Set(first).size < first.length) return false;
  return behind.some((cells) => cells.some(isFigure)) || !behind.some((cells) => cells.some((cell) => first.includes(cell)));
}

/** The shape of records in JSON: every path that leads to a value. Null where hardly any text is an object. */
export function maybeObjects(texts: readonly string[], format: "ndjson" | "json" | "parquet"): Shape | null {
  const objects = texts.map(maybeObject).filter((object) => object !== null);
  if (objects.length === 0 || objects.length < 0.5 * texts.length) return null;
  const columns = [...new Set(objects.flatMap((object) => pathsOf(object, "")))];
  return {
    format,
    delimiter: null,
    header: true,
    skipLines: 0,
    comment: null,
    columns,
    rows: objects.map((object) => columns.map((column) => (hasPath(object, column) ? textAt(object, column) : null))),
  };
}

function pathsOf(object: JsonObject, before: string): string[] {
  return Object.entries(object).flatMap(([key, value]) =>
    typeof value === "object" && value !== null && !Array.isArray(value)
      ? pathsOf(value as JsonObject, `${before}${key}.`)
      : [`${before}${key}`],
  );
}
