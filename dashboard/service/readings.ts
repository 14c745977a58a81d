// Readings as they are typed: `pressure drop=1.12`, or several values of which the mean counts, as of ten timed stops.
import type { WordFault } from "./place.ts";

const FIGURE = /^[-+]?\d+([.,]\d+)?$/;

/** `12.5` or `12,5`; undefined where it is no number. */
export function figureFromText(text: string): number | undefined {
  const typed = text.trim();
  return FIGURE.test(typed) ? Number(typed.replace(",", ".")) : undefined;
}

/** Readings by name, or what is wrong with the first that can't be read. */
export function readingsFromTexts(texts: readonly string[]): Record<string, number> | WordFault {
  const readings: Record<string, number> = {};
  for (const text of texts) {
    const cut = text.lastIndexOf("=");
    const name = text.slice(0, cut).trim();
    const values = text
      .slice(cut + 1)
      .trim()
      .split(/\s+/)
      .map(figureFromText);
    if (cut < 1 || name === "" || values.length === 0 || values.some((value) => value === undefined)) {
      return {
        field: "reading",
        value: text,
        expected: "NAME=VALUE like pressure drop=1.12, or several values with blanks between",
      };
    }
    readings[name] = values.reduce<number>((sum, value) => sum + value!, 0) / values.length;
  }
  return readings;
}

export const isFault = (answer: Record<string, number> | WordFault): answer is WordFault => typeof answer.expected === "string";
