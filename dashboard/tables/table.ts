// Rows as a table that fits the terminal: plain headings, the workshop's own clock, no JSON; what doesn't fit is named.
import Table from "cli-table3";
import { isoFromDate } from "../../shared/relation.ts";
import type { Row } from "../commands/command.ts";
import { type Column, type Layout, layouts } from "./layouts.ts";

export interface TableSettings {
  columns: number;
  colour: boolean;
  /** Instants as the workshop's clock shows them. */
  local?: ReadonlyMap<string, string> | undefined;
}

const gap = 2;
const narrowest = 24;
const widestWord = 48;

/** Throws nothing; no rows give "". */
export function tableOf(command: string, rows: readonly Row[], settings: TableSettings): string {
  if (rows.length === 0) return "";
  const layout = (layouts[command] ?? plainLayout(rows)).filter(({ value }) => rows.some((row) => !isNothing(value(row))));
  const cells = rows.map((row) => layout.map(({ value }) => cellText(value(row), settings)));
  const widths = layout.map((column, i) =>
    Math.max(
      column.heading.length,
      ...cells
        .slice(0, 2_000)
        .map((row) => (column.isText ? Math.min(narrowest, row[i]!.length) : Math.min(widestWord, row[i]!.length))),
    ),
  );
  const kept = fitting(layout, widths, settings.columns);
  const textAt = kept.filter((i) => layout[i]!.isText).at(-1);
  const spare = settings.columns - kept.reduce((sum, i) => sum + widths[i]! + gap, 0);
  const widthOf = (i: number): number => {
    if (i !== textAt) return widths[i]!;
    const wanted = Math.max(...cells.slice(0, 2_000).map((row) => row[i]!.length), layout[i]!.heading.length);
    return Math.min(wanted, widths[i]! + Math.max(0, spare));
  };
  const table = new Table({
    head: kept.map((i) => (settings.colour ? bold(layout[i]!.heading) : layout[i]!.heading)),
    colWidths: kept.map((i) => widthOf(i) + gap),
    wordWrap: true,
    wrapOnWordBoundary: true,
    style: { head: [], border: [], compact: true, "padding-left": 0, "padding-right": gap },
    chars: bare,
    colAligns: kept.map((i) => (cells.every((row) => isFigure(row[i])) ? "right" : "left")),
  });
  for (const row of cells) table.push(kept.map((i) => shortened(row[i]!, layout[i]!, widthOf(i))));
  const lines = table
    .toString()
    .split("\n")
    .map((line) => line.trimEnd())
    .join("\n");
  const left = layout.filter((_, i) => !kept.includes(i)).map(({ heading }) => heading.toLowerCase());
  return `${lines}\n${left.length ? `(no room for ${left.join(", ")}: a wider window or --json has them)\n` : ""}`;
}

/** The indices that stay, in their order: the least important go first, the last of all never. */
function fitting(layout: Layout, widths: readonly number[], columns: number): number[] {
  const kept = layout.map((_, i) => i);
  const total = (): number => kept.reduce((sum, i) => sum + widths[i]! + gap, -gap);
  while (total() > columns && kept.length > 1) {
    const worst = kept.reduce((a, b) => (layout[b]!.rank >= layout[a]!.rank ? b : a));
    kept.splice(kept.indexOf(worst), 1);
  }
  return kept;
}

const plainLayout = (rows: readonly Row[]): Layout =>
  Object.keys(rows[0] ?? {}).map((name, rank): Column => ({ heading: headingOf(name), rank, value: (row) => row[name] }));

/** `enabledHours` → "Enabled hours". */
export const headingOf = (name: string): string => {
  const spaced = name
    .replace(/([a-z\d])([A-Z])/g, "$1 $2")
    .replaceAll(/[_-]/g, " ")
    .toLowerCase();
  return spaced.charAt(0).toUpperCase() + spaced.slice(1);
};

const isNothing = (value: unknown): boolean =>
  value === null ||
  value === undefined ||
  value === "" ||
  (Array.isArray(value) && value.length === 0) ||
  (typeof value === "object" && "best" in value && value.best === null);

const shortened = (text: string, { isText }: Column, width: number): string =>
  isText || text.length <= width ? text : `${text.slice(0, width - 1)}…`;

const isFigure = (cell: string | undefined): boolean => cell !== undefined && /^[-−]?[\d.,]*( \(.*\))?$/.test(cell);

const instant = /^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?Z$/;

export function cellText(value: unknown, settings: Pick<TableSettings, "local">): string {
  if (isNothing(value)) return "";
  if (typeof value === "number") return figureText(value);
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (value instanceof Date) return cellText(isoFromDate(value), settings);
  if (typeof value === "string")
    return instant.test(value) ? (settings.local?.get(value) ?? value) : value.replaceAll(/\s*\n\s*/g, " ");
  if (Array.isArray(value)) {
    const isPhrase = value[0] === "about";
    return value
      .map((each) => cellText(each, settings))
      .join(isPhrase ? " " : value.some((each) => String(each).length > 24) ? "; " : ", ");
  }
  const object = value as Record<string, unknown>;
  if ("low" in object && "best" in object && "high" in object) return rangeText(object as Record<string, number | null>);
  if ("insufficient" in object) return "not enough data yet";
  return Object.entries(object)
    .filter(([, each]) => !isNothing(each))
    .map(([name, each]) => `${headingOf(name).toLowerCase()} ${cellText(each, settings)}`)
    .join(", ");
}

export const figureText = (value: number): string =>
  Number.isInteger(value) ? String(value) : value.toFixed(Math.abs(value) < 10 ? 2 : 1);

function rangeText({ low, best, high }: Record<string, number | null>): string {
  if (best === null || best === undefined) return "";
  if (low === high || typeof low !== "number" || typeof high !== "number") return figureText(best);
  const ends = `${figureText(low)}–${figureText(high)}`;
  return figureText(low) === figureText(high) ? figureText(best) : `${figureText(best)} (${ends})`;
}

const bare = {
  top: "",
  "top-mid": "",
  "top-left": "",
  "top-right": "",
  bottom: "",
  "bottom-mid": "",
  "bottom-left": "",
  "bottom-right": "",
  left: "",
  "left-mid": "",
  mid: "",
  "mid-mid": "",
  right: "",
  "right-mid": "",
  middle: "",
};

/** Every instant that stands in some rows, however deep. */
export function instantsIn(rows: readonly unknown[], atMost = 20_000): string[] {
  const found = new Set<string>();
  const look = (value: unknown): void => {
    if (found.size >= atMost) return;
    if (typeof value === "string") {
      if (instant.test(value)) found.add(value);
    } else if (value instanceof Date) found.add(isoFromDate(value));
    else if (typeof value === "object" && value !== null) for (const each of Object.values(value)) look(each);
  };
  for (const row of rows) look(row);
  return [...found];
}

/** The caller has looked at the terminal; a library that looks again at its own surroundings might think otherwise. */
const bold = (text: string): string => `\u001b[1m${text}\u001b[22m`;
