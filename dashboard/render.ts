// An answer for a reader: JSON for programs, a table that fits the terminal for people.
import { type Complaint, FailedError, sentenceFromComplaint, UsageError } from "../shared/errors.ts";
import { rowsFromRelation } from "../shared/relation.ts";
import type { Answer, Row } from "./commands/command.ts";
import { cellText, headingOf, tableOf } from "./tables/table.ts";

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

/** A table of the answer's list for people; figures are shortened, never the JSON's. An answer without a list is a few lines. */
export function tableFromAnswer(answer: Answer, terminal: Terminal, command: string): string {
  if (answer.text !== undefined) return answer.text;
  const { beside } = answer;
  const rows = rowsOfAnswer(answer);
  const settings = { ...terminal, local: beside?.local };
  const lines = (texts: readonly string[] | undefined): string => (texts ?? []).map((text) => `${text}\n`).join("");
  const table = answer.list ? tableOf(command, rows, settings) || "nothing to show\n" : factsOf(answer.head, settings);
  const above = lines([...againWords(answer.head), ...(beside?.above ?? [])]);
  return `${above}${above ? "\n" : ""}${table}${lines(beside?.below)}`;
}

/** What reading rejected lines again came to. */
function againWords({ again }: Record<string, unknown>): string[] {
  const counts = again as { read: number; mended: number; left: number } | undefined;
  if (!counts) return [];
  const lines = counts.read === 1 ? "line" : "lines";
  return [`Read ${counts.read} rejected ${lines} again: ${counts.mended} understood now, ${counts.left} still rejected.`];
}

const factsOf = (head: Record<string, unknown>, settings: Parameters<typeof cellText>[1]): string =>
  Object.entries(head)
    .map(([name, value]) => `${headingOf(name)}: ${cellText(value, settings)}\n`)
    .join("");

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
