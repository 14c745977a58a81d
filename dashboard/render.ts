// An answer for a reader: JSON for programs, a table that fits the terminal for people.
import Table from "cli-table3";
import { type Complaint, FailedError, sentenceFromComplaint, UsageError } from "../shared/errors.ts";
import { isoFromDate, rowsFromRelation } from "../shared/relation.ts";
import type { Answer, Row } from "./commands/command.ts";

export function jsonFromAnswer(answer: Answer): Record<string, unknown> {
  return answer.list ? { ...answer.head, [answer.list.name]: rowsOfAnswer(answer) } : answer.head;
}

export function rowsOfAnswer(answer: Answer): Row[] {
  if (!answer.list) return [answer.head];
  return "relation" in answer.list ? rowsFromRelation(answer.list.relation) : answer.list.rows;
}

export interface Terminal {
  columns: number;
  colour: boolean;
}

/** A table of the answer's list, its columns being the names that fit; figures are shortened, never the JSON's. */
export function tableFromAnswer(answer: Answer, terminal: Terminal): string {
  if (answer.text !== undefined) return answer.text;
  const rows = rowsOfAnswer(answer);
  if (rows.length === 0) return "nothing to show\n";
  const names = Object.keys(rows[0] ?? {}).filter((name) => rows.some((row) => row[name] !== null && row[name] !== undefined));
  const cells = rows.map((row) => names.map((name) => cellText(row[name])));
  const fitting = columnsThatFit(names, cells, terminal.columns);
  const table = new Table({
    head: names.slice(0, fitting),
    style: { head: terminal.colour ? ["bold"] : [], border: [], compact: true },
    chars: bare,
    colAligns: names.slice(0, fitting).map((_, i) => (cells.every((row) => isFigure(row[i])) ? "right" : "left")),
  });
  for (const row of cells) table.push(row.slice(0, fitting));
  const left = names.slice(fitting);
  return `${table.toString()}\n${left.length ? `(${left.length} more with --json: ${left.join(", ")})\n` : ""}`;
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
  middle: "  ",
};

const isFigure = (cell: string | undefined): boolean => cell !== undefined && /^[-−]?[\d.,]*( \(.*\))?$/.test(cell);

function cellText(value: unknown): string {
  if (value === null || value === undefined) return "";
  if (typeof value === "number") return figureText(value);
  if (value instanceof Date) return isoFromDate(value);
  if (typeof value === "object") {
    if ("low" in value && "best" in value && "high" in value) return rangeText(value as Record<string, number | null>);
    if ("insufficient" in value) return "not enough data yet";
    return JSON.stringify(value);
  }
  return String(value);
}

const figureText = (value: number): string =>
  Number.isInteger(value) ? String(value) : value.toFixed(Math.abs(value) < 10 ? 2 : 1);

function rangeText({ low, best, high }: Record<string, number | null>): string {
  if (best === null || best === undefined) return "";
  if (low === high || typeof low !== "number" || typeof high !== "number") return figureText(best);
  return `${figureText(best)} (${figureText(low)}–${figureText(high)})`;
}

/** How many of the leading columns fit; at least one. */
function columnsThatFit(names: string[], cells: string[][], width: number): number {
  let used = 0;
  for (const [i, name] of names.entries()) {
    used += Math.max(name.length, ...cells.slice(0, 500).map((row) => row[i]?.length ?? 0)) + 4;
    if (used > width && i > 0) return i;
  }
  return names.length;
}

/** What is told of an error: its complaint where it has one, never a stack. */
export interface Told {
  complaint: Complaint;
  exitCode: 1 | 2;
}

export function toldFromError(error: unknown): Told {
  if (error instanceof UsageError) return { complaint: error.complaint, exitCode: 2 };
  if (error instanceof FailedError) return { complaint: error.complaint, exitCode: 1 };
  const message = error instanceof Error ? error.message : String(error);
  const noRoom = /No space left on device|File too large|ENOSPC|EFBIG/.exec(message)?.[0];
  if (noRoom) {
    const expected = "room to write; what was stored before is still there, and nothing of this is";
    return { complaint: { field: "disk", value: noRoom, expected }, exitCode: 1 };
  }
  return {
    complaint: {
      field: "program",
      value: message.split("\n")[0] ?? "",
      expected: "no such failure; please report it with this line",
    },
    exitCode: 1,
  };
}

/** The complaint as it goes to standard output (`--json`) and standard error. */
export const toldText = (told: Told, json: boolean): { out: string; err: string } =>
  json
    ? { out: `${JSON.stringify({ error: told.complaint })}\n`, err: "" }
    : { out: "", err: `${sentenceFromComplaint(told.complaint)}\n` };
