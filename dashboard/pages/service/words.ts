// How the service leaves say what is used and when something is due.
import type { Reader } from "../words/reader.ts";
import type { DueTask } from "./answers.ts";

const units: Record<string, string> = {
  hours: "run-hours",
  "load-hours": "load-hours",
  starts: "starts",
  days: "days",
  "use-days": "days of use",
  cycles: "cycles",
};

export const unitWords = (unit: string): string => units[unit] ?? unit;

export const stateWords: Record<DueTask["state"], string> = {
  overdue: "overdue",
  now: "now",
  soon: "soon",
  later: "later",
  unknown: "not known",
};

/** 12.4 (11–14) of 15 run-hours used */
export function usedWords({ used, interval, basis, reading }: DueTask, reader: Reader): string {
  if (basis === "reading" && reading) {
    const unit = reading.unit ? ` ${reading.unit}` : "";
    return `${reading.name} ${reading.last === null ? "not read yet" : reader.figure(reading.last)} of ${reader.figure(reading.limit)}${unit}`;
  }
  if (!used || interval === null || basis === null) return "nothing to count it by";
  const unit = units[basis] ?? basis;
  if (used.best === null) {
    return `${used.low ? `at least ${reader.hours(used.low)}` : "nobody knows how much"} of ${reader.hours(interval)} ${unit}`;
  }
  return `${reader.range(used)} of ${reader.hours(interval)} ${unit} used`;
}

/** due about 3 March 2026 (1 March 2026 to 9 March 2026) */
export function dueWords({ due, state }: DueTask, reader: Reader): string {
  const { early, median, late } = due;
  if (state === "unknown") return "nobody has said when it was last done";
  if (median === null) return early === null ? "not within the reach of the forecast" : `not before ${reader.day(early)}`;
  if (state === "overdue") return `since about ${reader.day(median)}`;
  if (early === median && late === median) return `on ${reader.day(median)}`;
  return `about ${reader.day(median)}${early && late ? ` (${reader.day(early)} to ${reader.day(late)})` : ""}`;
}
