// The truth beside the logs: what really happened, kept small as tables with one header each, and the reader for it.
// Times are whole seconds since 1970 in UTC; durations are seconds unless the name says hours.
import { readFileSync } from "node:fs";

export type Cell = string | number | null;
export interface TruthTable {
  columns: string[];
  rows: Cell[][];
}

export interface Truth {
  about: { workshop: string; seed: number; zone: string; from: string; until: string; mess: boolean; findings: boolean };
  /** Lists that rows point into by index. */
  machines: string[];
  groups: string[];
  people: string[];
  tables: Record<TableName, TruthTable>;
}

/** What each table holds, one line a table; the columns are named in the file itself. */
export const tableNames = {
  sessions:
    "every true session: who had which machine enabled when, how it ended, motor seconds, closings, what the log shows of it",
  motorOutside: "motor time outside any session",
  runHours: "true run-hours by machine and local month",
  cuts: "power cuts and boots: when, which machines, how the server's clock came back",
  losses: "stations whose messages were lost or came late",
  slips: "stations that spoke under another address",
  files: "the fate of every line by file",
  wishes: "turns wished for by group, what became of them, how long they waited",
  rates: "turns wished for in an ordinary week and their growth a year, by group",
  visits: "when each person was in the workshop, badge in a holder or not",
  downs: "when a machine was out of order",
  lives: "lives of parts: true shape and scale, from, until, use, how it ended, what the record says",
  meters: "hour meters: replaced, misread",
  planted: "planted findings: rule, place, span, size",
  opening: "when the doors were open, and to whom",
  signals: "refusals, changes and boots as the stations truly said them",
} as const;
export type TableName = keyof typeof tableNames;

export function truthText(truth: Truth): string {
  const { tables, ...rest } = truth;
  const parts = Object.entries(tables).map(([name, { columns, rows }]) => {
    const body = rows.map((row) => JSON.stringify(row)).join(",\n");
    return `${JSON.stringify(name)}:{"columns":${JSON.stringify(columns)},"rows":[\n${body}]}`;
  });
  return `${JSON.stringify(rest).slice(0, -1)},"tables":{${parts.join(",\n")}}}\n`;
}

export const loadTruth = (file: string): Truth => JSON.parse(readFileSync(file, "utf8")) as Truth;

/** The rows of one table as objects. */
export function rowsOf<T extends object = Record<string, Cell>>(truth: Truth, name: TableName): T[] {
  const { columns, rows } = truth.tables[name];
  return rows.map((row) => Object.fromEntries(columns.map((column, index) => [column, row[index]])) as T);
}

export const table = (columns: string[], rows: Cell[][]): TruthTable => ({ columns, rows });
