// What stands above and below a table in a terminal: as of when, by which clock, and what a table has no room for.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, question } from "../../shared/question.ts";
import type { Command, Row, Span } from "../commands/command.ts";
import { instantsIn } from "./table.ts";

const localTexts = question(import.meta.url, "./local-texts.sql");
const laterRecords = question(import.meta.url, "./later-records.sql");

export interface Beside {
  local: ReadonlyMap<string, string>;
  above: string[];
  below: string[];
}

const asOfNeeds = new Set(["see-use", "see-members", "see-service", "see-demand", "see-findings"]);
const lists = new Set([
  "machines",
  "service list",
  "service asks",
  "outage list",
  "stock list",
  "note list",
  "service catalogue",
]);

export async function besideTable(
  connection: DuckDBConnection,
  command: Command,
  rows: readonly Row[],
  span: Span,
  isAsOfAsked: boolean,
  isEmptyLog: boolean,
): Promise<Beside> {
  const { asOf, zone } = span;
  const asOfText = asOf.toISOString();
  const texts = [...instantsIn(rows), asOfText];
  const found = await ask<{ instant: string; local: string }>(connection, localTexts, { instants: JSON.stringify(texts), zone });
  const local = new Map(found.map(({ instant, local }) => [instant, local]));
  const above: string[] = [];
  const below: string[] = [];
  const goesByTime = asOfNeeds.has(command.need) && !lists.has(command.name) && command.needs === "reads";
  if (goesByTime && !isEmptyLog) {
    const why = isAsOfAsked ? "as asked" : "the log's last good line";
    above.push(`As of ${local.get(asOfText) ?? asOfText} (${why}), by the clock of ${zone}`);
  }
  if (command.name === "due") {
    const [later] = await ask<{ records: number }>(connection, laterRecords, { as_of: asOf });
    if (later && later.records > 0)
      below.push(
        `${later.records} ${later.records === 1 ? "record is" : "records are"} later than that and not counted here; --as-of now counts ${later.records === 1 ? "it" : "them"}.`,
      );
    below.push(...cautionsOf(rows));
  }
  return { local, above, below };
}

/** The cautions of tasks are never left out: those that all share once, a single machine's in full. */
function cautionsOf(rows: readonly Row[]): string[] {
  const all = rows.map(({ cautions }) => (Array.isArray(cautions) ? (cautions as string[]) : []));
  const [first] = all;
  if (!first) return [];
  const machines = new Set(rows.map(({ machine }) => machine));
  const shared = first.filter((caution) => all.every((each) => each.includes(caution)));
  const own = machines.size === 1 ? [...new Set(all.flat())].filter((caution) => !shared.includes(caution)) : [];
  return [
    "",
    "Before any of it: isolate the machine and lock out its energy source at the isolator, wait for run-down, test that it is dead.",
    ...[...own, ...shared].map((caution) => `- ${caution}`),
    ...(machines.size > 1 ? ["What is particular to a machine or task: almanac due --machine NAME."] : []),
  ];
}
