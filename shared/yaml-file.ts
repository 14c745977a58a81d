// A YAML file that a user writes, read against a schema: every problem in one go, each with its line.
import {
  type Alias,
  type Document,
  isAlias,
  isMap,
  isPair,
  isScalar,
  isSeq,
  LineCounter,
  type Node,
  parseDocument,
  type Scalar,
  visit,
} from "yaml";
import type * as z from "zod";
import { oneOf, type Path, type Problem, textFromPath } from "./problem.ts";
import { loadText } from "./text-file.ts";

/** A YAML file as read, before any schema. */
export interface YamlFile {
  readonly path: string;
  readonly text: string;
  /** Plain maps, lists, words and numbers; undefined where the text is no YAML. Keys are always text as written. */
  readonly raw: unknown;
  /** What is wrong with the YAML itself. */
  readonly problems: readonly Problem[];
  /** The line where a value stands, or the nearest one around it where it is missing. */
  lineOf(path: Path): number;
  /** A problem at a place in this file, its value fetched by the path where none is given. */
  problem(path: Path, expected: string, value?: unknown): Problem;
}

export interface YamlOptions {
  /** What asked for the file: `workshop`, `profile`. */
  field: string;
  /** Places whose scalars are text as written, so that `00417` is not `417`. */
  isWritten?: (path: Path) => boolean;
}

/** Reads a YAML 1.2 file. Throws UsageError where it can't be opened; bad YAML is told in `problems`. */
export function loadYaml(path: string, options: YamlOptions): YamlFile {
  return yamlFromText(path, loadText(path, options.field), options);
}

/** As `loadYaml`, from a text already at hand; `path` is only a name. */
export function yamlFromText(path: string, text: string, { isWritten = () => false }: YamlOptions): YamlFile {
  const lineCounter = new LineCounter();
  const document = parseDocument(text, { lineCounter, version: "1.2", prettyErrors: false, strict: true, uniqueKeys: isSameKey });
  const strayAliases = keepWritten(document, isWritten);
  const problemAt = (offset: number, expected: string): Problem => {
    const line = lineCounter.linePos(offset).line || 1;
    return { file: path, line, path: "", value: lineAt(text, line), expected };
  };
  const problems: Problem[] = [
    ...[...document.errors, ...document.warnings].map((error) =>
      problemAt(error.pos[0], expectedInstead(error.code, error.message)),
    ),
    ...strayAliases.map((alias) => problemAt(alias.range?.[0] ?? 0, `an anchor &${alias.source} above this alias`)),
  ];
  const lineOf = (place: Path): number => lineCounter.linePos(offsetOf(document, place)).line || 1;
  let raw: unknown;
  if (document.errors.length === 0 && strayAliases.length === 0) {
    try {
      raw = document.toJS({ maxAliasCount: 100 });
      JSON.stringify(raw);
    } catch (error) {
      // An alias within itself, or thousands of them from a few lines.
      const expected = `aliases that can be written out (${error instanceof Error ? error.message.split("\n")[0] : error})`;
      problems.push({ file: path, line: 1, path: "", value: null, expected });
      raw = undefined;
    }
  }
  return {
    path,
    text,
    raw,
    problems,
    lineOf,
    problem: (place, expected, value = valueAt(raw, place)) => ({
      file: path,
      line: lineOf(place),
      path: textFromPath(place),
      value: value ?? null,
      expected,
    }),
  };
}

/**
 * The value of a YAML file by its schema, or undefined, and every problem of the file. Schemas say what they expect as their
 * messages; those of `strict()` in words.ts list their keys.
 */
export function readBySchema<S extends z.ZodType>(
  file: YamlFile,
  schema: S,
): { value: z.output<S> | undefined; problems: Problem[] } {
  if (file.raw === undefined) return { value: undefined, problems: [...file.problems] };
  const result = schema.safeParse(file.raw);
  if (result.success) return { value: file.problems.length === 0 ? result.data : undefined, problems: [...file.problems] };
  const issues = result.error.issues.filter((issue) => !followsFrom(issue, result.error.issues));
  return { value: undefined, problems: [...file.problems, ...issues.flatMap((issue) => problemsFromIssue(file, issue, []))] };
}

/** A map that breaks a rule of its whole is not told beside what is wrong in it: `{hour: 60}` has no unit because of the key. */
function followsFrom(issue: z.core.$ZodIssue, issues: readonly z.core.$ZodIssue[]): boolean {
  const isWithin = (other: z.core.$ZodIssue): boolean =>
    issue.path.every((step, index) => other.path[index] === step) &&
    (other.path.length > issue.path.length || other.code === "unrecognized_keys");
  return issue.code === "custom" && issues.some((other) => other !== issue && isWithin(other));
}

function problemsFromIssue(file: YamlFile, issue: z.core.$ZodIssue, base: Path): Problem[] {
  const place = [...base, ...(issue.path as (string | number)[])];
  if (issue.code === "unrecognized_keys") {
    const known = issue.message.split(" ");
    return issue.keys.map((key) => ({ ...file.problem([...place, key], oneOf(known, key)), value: key }));
  }
  if (issue.code === "invalid_union") {
    // The one shape that could have been meant, by the kind of value that is there: its own problems say more.
    const meant = issue.errors.filter((errors) => errors.some((error) => error.path.length > 0 || error.code !== "invalid_type"));
    const [only] = meant;
    if (meant.length === 1 && only !== undefined) return only.flatMap((inner) => problemsFromIssue(file, inner, place));
  }
  return [file.problem(place, issue.message)];
}

const lineAt = (text: string, line: number): string => (text.split("\n")[line - 1] ?? "").trim().slice(0, 200);

const EXPECTED_BY_CODE: Partial<Record<string, string>> = {
  DUPLICATE_KEY: "every key only once in a map",
  MULTIPLE_DOCS: "one document, without a further --- line",
  TAB_AS_INDENT: "indentation by blanks, not tabs",
  BAD_INDENT: "the indentation of its neighbours",
};

const expectedInstead = (code: string, message: string): string => EXPECTED_BY_CODE[code] ?? `YAML (${message.split("\n")[0]})`;

/** `01` and `1` are two words, though one number. */
const isSameKey = (a: unknown, b: unknown): boolean => isScalar(a) && isScalar(b) && writtenKey(a) === writtenKey(b);

const writtenKey = (key: Scalar): string => (typeof key.value === "string" ? key.value : (key.source ?? String(key.value)));

/** Makes every key, and every scalar in the named places, the text that was written. Gives the aliases that mean no anchor. */
function keepWritten(document: Document.Parsed, isWritten: (path: Path) => boolean): Alias[] {
  const stray: Alias[] = [];
  visit(document, {
    Alias(_, node) {
      if (node.resolve(document) === undefined) stray.push(node);
    },
    Scalar(key, node, ancestors) {
      if (typeof node.source !== "string" || typeof node.value === "string") return;
      if (key === "key") node.value = node.source;
      else if (isWritten(pathFromAncestors(key, node, ancestors)) && node.source !== "") node.value = node.source;
    },
  });
  return stray;
}

function pathFromAncestors(key: unknown, node: unknown, ancestors: readonly unknown[]): Path {
  const chain = [...ancestors, node];
  return chain.flatMap((step, index): (string | number)[] => {
    const parent = chain[index - 1];
    if (isPair(step)) return [isScalar(step.key) ? String(step.key.source ?? step.key.value) : String(step.key)];
    if (isSeq(parent)) return [step === node && typeof key === "number" ? key : parent.items.indexOf(step)];
    return [];
  });
}

/** Where a path's value begins; of a map or list in a map, its key; of what is missing, the nearest thing around it. */
function offsetOf(document: Document.Parsed, place: Path): number {
  let node: Node | null = document.contents;
  let offset = node?.range?.[0] ?? 0;
  for (const step of place) {
    const here: Node | null | undefined = isAlias(node) ? node.resolve(document) : node;
    if (isMap(here)) {
      const pair = here.items.find((item) => isScalar(item.key) && String(item.key.value) === String(step));
      if (pair === undefined) return offset;
      const value = pair.value as Node | null;
      const keyOffset = (pair.key as Node).range?.[0] ?? offset;
      offset = isScalar(value) && value.source !== "" ? (value.range?.[0] ?? keyOffset) : keyOffset;
      node = value;
    } else if (isSeq(here)) {
      const item = here.items[Number(step)] as Node | undefined;
      if (item === undefined) return offset;
      offset = item.range?.[0] ?? offset;
      node = item;
    } else return offset;
  }
  return offset;
}

/** The value at a path of plain data, undefined where there is none. */
export function valueAt(raw: unknown, place: Path): unknown {
  return place.reduce<unknown>(
    (value, step) =>
      typeof value === "object" && value !== null && Object.hasOwn(value, step)
        ? (value as Record<string | number, unknown>)[step]
        : undefined,
    raw,
  );
}
