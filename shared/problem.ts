// What is wrong in a file that a user writes: every problem of it in one go, each with its place.
import { distance } from "fastest-levenshtein";
import { UsageError } from "./errors.ts";

/** One thing wrong in a user's file. `path` is like `machines[2].stations[0].from`, `""` for the whole file. */
export interface Problem {
  file: string;
  line: number;
  path: string;
  value: unknown;
  expected: string;
}

/** A place in a file: keys and list positions from the top. */
export type Path = readonly (string | number)[];

/** `["machines", 2, "driven_by", "band-saw"]` becomes `machines[2].driven_by.band-saw`. */
export function textFromPath(path: Path): string {
  return path.reduce<string>((text, step) => {
    if (typeof step === "number") return `${text}[${step}]`;
    if (!/^[\p{L}\p{N}_-]+$/u.test(step)) return `${text}[${JSON.stringify(step)}]`;
    return text === "" ? step : `${text}.${step}`;
  }, "");
}

/** The word of `known` that was probably meant by `typed`, or undefined where none is near. Case does not matter. */
export function meantBy(typed: string, known: Iterable<string>): string | undefined {
  const wanted = typed.toLowerCase();
  const reach = Math.max(1, Math.round(typed.length * 0.4));
  let best: { word: string; far: number } | undefined;
  for (const word of known) {
    const far = distance(wanted, word.toLowerCase());
    if (far <= reach && (best === undefined || far < best.far)) best = { word, far };
  }
  return best?.word;
}

/** `one of days, hours; did you mean hours?`, the list cut short where it is long. */
export function oneOf(known: Iterable<string>, typed?: unknown): string {
  const words = [...known];
  const shown = words.length > 24 ? `${words.slice(0, 24).join(", ")}, …` : words.join(", ");
  const meant = typeof typed === "string" ? meantBy(typed, words) : undefined;
  return `one of ${shown}${meant === undefined ? "" : `; did you mean ${meant}?`}`;
}

/** By file as first seen, then line; each only once. */
export function tidyProblems(problems: readonly Problem[]): Problem[] {
  const files = [...new Set(problems.map((problem) => problem.file))];
  const seen = new Set<string>();
  return problems
    .filter((problem) => {
      const mark = JSON.stringify([problem.file, problem.line, problem.path, problem.expected]);
      if (seen.has(mark)) return false;
      seen.add(mark);
      return true;
    })
    .sort((a, b) => files.indexOf(a.file) - files.indexOf(b.file) || a.line - b.line);
}

/** The first problem as an exception that says how many more `check` would list. Needs at least one problem. */
export function usageErrorFromProblems(problems: readonly Problem[]): UsageError {
  const [first, ...others] = problems;
  if (first === undefined) throw new RangeError("an error needs a problem");
  const more = others.length === 0 ? "" : ` (and ${others.length} more: the command check lists them)`;
  return new UsageError({
    field: first.path === "" ? "file" : first.path,
    value: first.value,
    expected: `${first.expected}${more}`,
    file: first.file,
    line: first.line,
  });
}
