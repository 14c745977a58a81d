// Reading the file's words without trusting them, and writing typed words as edits.
import type { Edit, Place, UsualTask, Words } from "./answers.ts";

export const listIn = (words: unknown, key: string): Words[] => {
  const list = (words as Words | null)?.[key];
  return Array.isArray(list) ? list.filter((item): item is Words => typeof item === "object" && item !== null) : [];
};

export const textIn = (words: unknown, ...keys: string[]): string => {
  const value = keys.reduce<unknown>(
    (at, key) => (typeof at === "object" && at !== null ? (at as Words)[key] : undefined),
    words,
  );
  return typeof value === "string" || typeof value === "number" || typeof value === "boolean" ? String(value) : "";
};

/** The edit that makes a place hold what was typed, or nothing where it holds it already. */
export function editOf(path: Place, typed: string, before: string, read: (typed: string) => unknown = (text) => text): Edit[] {
  const now = typed.trim();
  if (now === before.trim()) return [];
  return [now === "" ? { path } : { path, value: read(now) }];
}

/** A number as people type it, with a comma or a point; what is none stays as typed, and the file's check says so. */
export const numberTyped = (text: string): unknown => {
  const number = Number(text.replace(/\s/g, "").replace(",", "."));
  return text.trim() !== "" && Number.isFinite(number) ? number : text;
};

/** `18:00-22:00, 8-12` becomes the file's list of hours. */
export const hoursTyped = (text: string): string[] =>
  text
    .split(/[,;]|\s+and\s+/)
    .map((part) =>
      part
        .trim()
        .replace(/[–—]/g, "-")
        .replace(/\s*-\s*/, "-")
        .replace(/(^|-)(\d{1,2})(?=-|$)/g, "$1$2:00")
        .replace(/(^|-)(\d):/g, "$10$2:")
        .replace(/(\d\d)[.h](\d\d)/g, "$1:$2"),
    )
    .filter(Boolean);

/** "Band saw by the window" → "band-saw-by-the-window"; with a number where that is taken. */
export function idFrom(name: string, taken: ReadonlySet<string>): string {
  const bare =
    name
      .normalize("NFKD")
      .replace(/\p{M}/gu, "")
      .toLowerCase()
      .replace(/[^\p{L}\p{N}]+/gu, "-")
      .replace(/^-+|-+$/g, "") || "machine";
  if (!taken.has(bare)) return bare;
  let number = 2;
  while (taken.has(`${bare}-${number}`)) number += 1;
  return `${bare}-${number}`;
}

const unitWords: Record<string, string> = {
  hours: "run-hours",
  load_hours: "load-hours",
  starts: "starts",
  days: "days",
  use_days: "days of use",
  cycles: "cycles",
};

/** "every 15 run-hours or 365 days". */
export function everyWords(task: Words | UsualTask): string {
  const parts = (limits: unknown): string =>
    Object.entries((limits ?? {}) as Record<string, unknown>)
      .map(([unit, amount]) => `${amount} ${unitWords[unit] ?? unit}`)
      .join(" or ");
  const early = task.first_after ? `once after ${parts(task.first_after)}, then ` : "";
  if (task.every) return `${early}every ${parts(task.every)}`;
  return textIn(task, "reading", "name") ? `by its ${textIn(task, "reading", "name")}` : "no interval yet";
}

export { unitWords };

const spanText = (span: unknown): string => {
  if (typeof span !== "object" || span === null) return String(span);
  const { station, from, until } = span as Words;
  return [station, from ? `from ${from}` : "", until ? `until ${until}` : ""].filter(Boolean).join(" ");
};

/** Stations of a machine, one a line: `21 from 2023-05-01 until 2025-03-01`. */
export const stationsText = (machine: Words): string =>
  Array.isArray(machine.stations) ? machine.stations.map(spanText).join("\n") : "";

export const stationsTyped = (text: string): unknown[] =>
  text
    .split("\n")
    .map((line) => line.trim())
    .filter(Boolean)
    .map((line) => {
      const read = /^(.+?)(?:\s+from\s+(\S+))?(?:\s+until\s+(\S+))?$/.exec(line);
      return { station: read?.[1] ?? line, ...(read?.[2] ? { from: read[2] } : {}), ...(read?.[3] ? { until: read[3] } : {}) };
    });
