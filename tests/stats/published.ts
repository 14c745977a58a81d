// The published examples: what each gives, with its source, tolerance and pitfalls, and how ours are read against them.
import { readFileSync } from "node:fs";

export interface Example {
  id: string;
  topic: string;
  method: string;
  // biome-ignore lint/suspicious/noExplicitAny: every example has an input of its own shape.
  input: any;
  expected: Record<string, unknown>;
  tolerance: { rel: number; abs: number; per?: Record<string, number> };
  source: Record<string, string | number>;
  whereSeen: string;
  /** "from memory" where the figures were not seen in print. */
  verified: string;
  seenAs: string;
  printed: Record<string, string | string[]>;
  /** Keys of `printed` that our figures must round to; the others are misprints or truncated, as `note` says. */
  printedAgrees: string[];
  /** Which places of the expected lists are printed, by a key both have. */
  printedAt?: Record<string, unknown[]>;
  mustNotMatch?: Record<string, unknown>;
  recomputed: string;
  note: string;
}

export const examples: readonly Example[] = JSON.parse(readFileSync(new URL("./published.json", import.meta.url), "utf8"));

/** Figures in a flat list, whatever they were nested in. */
const flat = (figures: unknown): unknown[] => (Array.isArray(figures) ? figures.flatMap(flat) : [figures]);

/** Every difference between an example and our answer, beyond its tolerance or half the last printed digit. */
export function differencesFrom(example: Example, answer: Record<string, unknown>): string[] {
  const found: string[] = [];
  for (const [key, expected] of Object.entries(example.expected)) {
    const ours = flat(answer[key]);
    const theirs = flat(expected);
    if (ours.length !== theirs.length) found.push(`${key}: ${ours.length} figures, ${theirs.length} published`);
    for (const [i, figure] of theirs.entries()) {
      const slack = Math.max(
        example.tolerance.abs,
        (example.tolerance.per?.[key] ?? example.tolerance.rel) * Math.abs(Number(figure)),
      );
      if (!(Math.abs(Number(ours[i]) - Number(figure)) <= slack) || typeof ours[i] !== "number") {
        found.push(`${key}[${i}]: ${ours[i]}, expected ${figure} ± ${slack}`);
      }
    }
  }
  for (const key of example.printedAgrees) {
    const places = placesOf(example, key);
    for (const [i, text] of flat(example.printed[key]).entries()) {
      const ours = Number(flat(answer[key])[places?.[i] ?? i]);
      const slack = halfLastDigit(String(text));
      // Figures are printed without their sign in a few of the sources: the notes say which.
      const off = Math.min(Math.abs(ours - Number(text)), Math.abs(Math.abs(ours) - Number(text)));
      if (!(off <= slack * (1 + 1e-9))) found.push(`${key}[${i}]: ${ours}, printed ${text}`);
    }
  }
  return found;
}

/** Half of the last digit printed, and never less than a double can hold. */
export function halfLastDigit(printed: string): number {
  const decimals = printed.split(".")[1]?.length ?? 0;
  return Math.max(0.5 * 10 ** -decimals, 1e-14 * Math.abs(Number(printed)));
}

function placesOf({ expected, printedAt }: Example, key: string): number[] | null {
  if (!printedAt?.[key]) return null;
  const by = Object.keys(printedAt).find((name) => name === "time" || name === "k");
  if (by === undefined) return null;
  const all = flat(expected[by]);
  return printedAt[by]!.map((place) => all.indexOf(place));
}
