// The roster: which badge is whose, from when until when, and for which machines. A CSV that a volunteer keeps in a spreadsheet.
import { CsvError, parse } from "csv-parse/sync";
import { oneOf, type Problem } from "./problem.ts";
import { loadText } from "./text-file.ts";
import { isDate } from "./words.ts";

export interface RosterRow {
  /** As written; hashed only where it is stored. */
  badge: string;
  /** Joins a person's badges; never a name. */
  person: string;
  name: string | null;
  /** `member` where the file gives none; a `maintainer`'s runs are not demand. */
  role: string;
  /** Local days; both belong to the span. */
  validFrom: string | null;
  validUntil: string | null;
  /** Ids of machines or groups; empty is all. */
  machines: string[];
  /** Where it stands in the file. */
  line: number;
}

export const ROSTER_COLUMNS = ["badge", "person", "name", "role", "valid_from", "valid_until", "machines"] as const;
type Column = (typeof ROSTER_COLUMNS)[number];

export interface Roster {
  rows: RosterRow[];
  problems: Problem[];
  text: string;
}

/** Reads a roster; `knows` are the machines and groups that may be named. Throws UsageError where it can't be opened. */
export function loadRoster(path: string, knows?: ReadonlySet<string>): Roster {
  const text = loadText(path, "roster");
  return { ...rosterFromText(path, text, knows), text };
}

interface ParsedRecord {
  record: string[];
  info: { lines: number };
  raw: string;
}

/** As `loadRoster`, from a text at hand. Rows with a problem are left out of `rows`. */
export function rosterFromText(path: string, text: string, knows?: ReadonlySet<string>): Omit<Roster, "text"> {
  const plain = text.replace(/^\uFEFF/, "").replace(/\r\n?/g, "\n");
  let records: ParsedRecord[];
  try {
    records = parse(plain, {
      info: true,
      raw: true,
      relax_column_count: true,
      skip_empty_lines: true,
      trim: true,
      delimiter: delimiterOf(plain),
    }) as unknown as ParsedRecord[];
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const line = typeof error.lines === "number" ? error.lines : 1;
    return {
      rows: [],
      problems: [{ file: path, line, path: "", value: null, expected: `CSV (${error.message.toLowerCase()})` }],
    };
  }
  const [header, ...body] = records;
  if (header === undefined) {
    return {
      rows: [],
      problems: [{ file: path, line: 1, path: "", value: null, expected: `a header ${ROSTER_COLUMNS.join(",")}` }],
    };
  }
  const headerLine = firstLineOf(header);
  const columns = header.record.map((name) => name.toLowerCase());
  const problems = headerProblems(path, columns, headerLine);
  if (!columns.includes("badge") || !columns.includes("person")) return { rows: [], problems };

  const rows: RosterRow[] = [];
  for (const { record, ...place } of body) {
    if (record.every((value) => value === "")) continue;
    const line = firstLineOf({ record, ...place });
    const found: Problem[] = [];
    const problem = (column: string, value: string | number, expected: string): void => {
      found.push({ file: path, line, path: column, value, expected });
    };
    // What stands behind the last column has pushed others out of theirs: their own problems would mislead.
    if (record.slice(columns.length).some((value) => value !== "")) {
      problem("", record.length, `${columns.length} cells, as the header has (a cell with a comma needs quotes)`);
    } else {
      const row = rowFromCells((column) => record[columns.indexOf(column)] ?? "", line, knows, problem);
      if (found.length === 0) rows.push(row);
    }
    problems.push(...found);
  }
  problems.push(...clashes(path, rows));
  return { rows, problems };
}

function rowFromCells(
  cell: (column: Column) => string,
  line: number,
  knows: ReadonlySet<string> | undefined,
  problem: (column: Column, value: string, expected: string) => void,
): RosterRow {
  const dateOf = (column: Column): string | null => {
    if (cell(column) === "") return null;
    if (isDate(cell(column))) return cell(column);
    problem(column, cell(column), "a date of the calendar, yyyy-mm-dd, or nothing");
    return null;
  };
  if (cell("badge") === "") problem("badge", "", "a badge as the log writes it");
  if (cell("person") === "") problem("person", "", "a word for the person, the same for all badges of one");
  const [validFrom, validUntil] = [dateOf("valid_from"), dateOf("valid_until")];
  if (validFrom !== null && validUntil !== null && validUntil < validFrom) {
    problem("valid_until", validUntil, `${validFrom} or later, as valid_from says`);
  }
  const machines = cell("machines").split(/\s+/).filter(Boolean);
  for (const machine of machines) {
    if (knows !== undefined && !knows.has(machine)) problem("machines", machine, oneOf(knows, machine));
  }
  const role = cell("role") || "member";
  return {
    badge: cell("badge"),
    person: cell("person"),
    name: cell("name") || null,
    role,
    validFrom,
    validUntil,
    machines,
    line,
  };
}

function headerProblems(path: string, columns: string[], line: number): Problem[] {
  const problem = (value: string | null, expected: string): Problem => ({ file: path, line, path: value ?? "", value, expected });
  return columns
    .flatMap((column, index) => {
      if (!(ROSTER_COLUMNS as readonly string[]).includes(column)) return [problem(column, oneOf(ROSTER_COLUMNS, column))];
      return columns.indexOf(column) < index ? [problem(column, "every column only once")] : [];
    })
    .concat(
      (["badge", "person"] as const)
        .filter((column) => !columns.includes(column))
        .map((column) => ({ ...problem(null, `a column ${column}`), path: column })),
    );
}

/** One badge, two persons on one day: whose is it? And the same row twice. */
function clashes(path: string, rows: readonly RosterRow[]): Problem[] {
  const byBadge = new Map<string, RosterRow[]>();
  for (const row of rows) byBadge.set(row.badge, [...(byBadge.get(row.badge) ?? []), row]);
  return [...byBadge.values()].flatMap((same) =>
    same.flatMap((row, index) => {
      const before = same.slice(0, index).filter((other) => overlap(row, other));
      const stranger = before.find((other) => other.person !== row.person);
      if (stranger !== undefined) {
        const expected = `one person at a time for a badge; on line ${stranger.line} it is ${JSON.stringify(stranger.person)}'s`;
        return [{ file: path, line: row.line, path: "badge", value: row.badge, expected }];
      }
      const twin = before.find((other) => sameRow(row, other));
      if (twin === undefined) return [];
      return [
        {
          file: path,
          line: row.line,
          path: "badge",
          value: row.badge,
          expected: `every row only once; line ${twin.line} is the same`,
        },
      ];
    }),
  );
}

const overlap = (a: RosterRow, b: RosterRow): boolean =>
  (a.validFrom ?? "") <= (b.validUntil ?? "9999") && (b.validFrom ?? "") <= (a.validUntil ?? "9999");

const sameRow = (a: RosterRow, b: RosterRow): boolean =>
  a.validFrom === b.validFrom &&
  a.validUntil === b.validUntil &&
  a.role === b.role &&
  a.machines.join(" ") === b.machines.join(" ");

/** Spreadsheets of half the world write a semicolon. */
const delimiterOf = (text: string): string => {
  const [header = ""] = text.split("\n", 1);
  return header.includes(",") ? "," : header.includes(";") ? ";" : header.includes("\t") ? "\t" : ",";
};

/** `info.lines` counts to the record's end and a quoted cell may span lines; blank lines before it are in `raw`. */
const firstLineOf = ({ info, raw }: ParsedRecord): number => info.lines - (raw.replace(/^\n+|\n+$/g, "").split("\n").length - 1);
