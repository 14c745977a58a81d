// Changes to a workshop file by places and values, as a person would make them: comments and the layout of what is not touched stay.
import { diffArrays } from "diff";
import { type Document, isMap, isPair, isScalar, isSeq, type Node, parse, parseDocument, Scalar, visit } from "yaml";
import { UsageError } from "./errors.ts";
import { type Path, textFromPath } from "./problem.ts";
import { isWrittenInWorkshop } from "./workshop-schema.ts";

/** Sets the value at a place, or takes it away where the value is undefined. A place behind a list's end adds to the list. */
export interface WorkshopEdit {
  path: Path;
  value?: unknown;
}

/**
 * The text of a workshop file after some edits, made in their order. Throws UsageError where the text is no YAML, or a place lies
 * within a value that is no map or list.
 */
export function editedWorkshop(text: string, edits: readonly WorkshopEdit[]): string {
  const before = documentOf(text);
  const after = documentOf(text);
  for (const { path, value } of edits) {
    if (path.length === 0) throw new UsageError({ field: "path", value: "", expected: "a place within the file" });
    refuseWithinValue(after, path);
    if (value === undefined) after.deleteIn(path);
    else after.setIn(path, withComment(nodeOf(after, path, value), after.getIn(path, true)));
    dropEmpty(after, path);
  }
  const options = { lineWidth: 0, flowCollectionPadding: /\{ \S/.test(text), indentSeq: !/^machines:[^\n]*\n- /m.test(text) };
  const made = after.toString(options);
  const isTight = /\[\S/.test(text);
  const tight = (loose: string): string => (isTight ? tightLists(loose) : loose);
  const merged = mergedText(tight(before.toString(options)), text, tight(made));
  return isSame(merged, made) ? merged : made;
}

/** `[ a, b ]` as `[a, b]`, but for what stands in quotes or a comment. */
const tightLists = (text: string): string =>
  text.replace(/"(?:[^"\\]|\\.)*"|'[^']*'|(?:^|\s)#.*$|\[ | \]/gm, (found) =>
    found === "[ " ? "[" : found === " ]" ? "]" : found,
  );

/** Every scalar stays the text that was written: `00417` comes back as `00417`. */
function documentOf(text: string): Document {
  const document = parseDocument(text, { schema: "failsafe", version: "1.2" });
  const [error] = document.errors;
  if (error)
    throw new UsageError({ field: "text", value: null, expected: `YAML that can be read (${error.message.split("\n")[0]})` });
  return document as Document;
}

function refuseWithinValue(document: Document, path: Path): void {
  for (let depth = 1; depth < path.length; depth++) {
    const node = document.getIn(path.slice(0, depth), true);
    const isEmpty = isScalar(node) && (node.value === "" || node.value === "~" || node.value === "null");
    if (isEmpty) document.deleteIn(path.slice(0, depth));
    else if (node !== undefined && !isMap(node) && !isSeq(node))
      throw new UsageError({
        field: "path",
        value: textFromPath(path),
        expected: `a map or list at ${textFromPath(path.slice(0, depth))}`,
      });
  }
}

/** A map or list whose last entry was taken away goes too, but for the entry of a list, which others are counted by. */
function dropEmpty(document: Document, path: Path): void {
  for (let depth = path.length - 1; depth > 0; depth--) {
    const node = document.getIn(path.slice(0, depth), true);
    const isEmpty = (isMap(node) || isSeq(node)) && node.items.length === 0;
    if (!isEmpty || typeof path[depth - 1] === "number") return;
    document.deleteIn(path.slice(0, depth));
  }
}

const shortest = 100;

function nodeOf(document: Document, path: Path, value: unknown): Node {
  const node = document.createNode(plain(value)) as Node;
  visit(node, {
    Scalar(_key, scalar, ancestors) {
      const place = [...path, ...placeWithin(scalar, ancestors)];
      const isKey = _key === "key";
      const given = scalar.value;
      scalar.value = String(given);
      if (typeof given !== "string" || isKey) return;
      const isRead = typeof parse(/^[\w.+-]+$/.test(given) ? given : JSON.stringify(given)) === "string";
      if (/^\d\d:\d\d-/.test(given) || (!isRead && !isWrittenInWorkshop(place))) scalar.type = Scalar.QUOTE_DOUBLE;
    },
    Collection(_key, collection, ancestors) {
      const place = [...path, ...placeWithin(collection, ancestors)];
      const isListed =
        ["machines", "parts"].includes(String(place.at(-2))) ||
        ["machines", "parts", "tasks", "rooms"].includes(String(place.at(-1)));
      if (!isListed && place.length > 2 && JSON.stringify(collection.toJSON()).length <= shortest) collection.flow = true;
      else if (String(place.at(-2)) === "rooms") collection.flow = true;
    },
  });
  return node;
}

function placeWithin(node: unknown, ancestors: readonly unknown[]): (string | number)[] {
  const chain = [...ancestors, node];
  const steps: (string | number)[] = [];
  for (const [index, step] of chain.entries()) {
    const parent = chain[index - 1];
    if (isSeq(parent)) steps.push(parent.items.indexOf(step));
    else if (isPair(step) && isMap(parent)) steps.push(String(isScalar(step.key) ? step.key.value : step.key));
  }
  return steps;
}

const plain = (value: unknown): unknown => JSON.parse(JSON.stringify(value));

function withComment(node: Node, before: unknown): Node {
  if (!isScalar(before) && !isMap(before) && !isSeq(before)) return node;
  if (before.comment) node.comment = before.comment;
  if (before.commentBefore) node.commentBefore = before.commentBefore;
  if ((isMap(before) || isSeq(before)) && (isMap(node) || isSeq(node)) && before.flow) node.flow = true;
  if (before.spaceBefore) node.spaceBefore = true;
  return node;
}

/** Lines that only the layout of `base` moved are taken from `written`; lines that the edit changed from `edited`. */
function mergedText(base: string, written: string, edited: string): string {
  const [lines, own, theirs] = [base, written, edited].map((text) => text.split("\n")) as [string[], string[], string[]];
  const inOwn = matches(lines, own);
  const inTheirs = matches(lines, theirs);
  const merged: string[] = [];
  let [atBase, atOwn, atTheirs] = [0, 0, 0];
  const take = (base: number, mine: number, edit: number): void => {
    const piece = theirs.slice(atTheirs, edit);
    const isUntouched = piece.join("\n") === lines.slice(atBase, base).join("\n");
    merged.push(...(isUntouched ? own.slice(atOwn, mine) : piece));
    [atBase, atOwn, atTheirs] = [base, mine, edit];
  };
  for (const [index, line] of lines.entries()) {
    const mine = inOwn.get(index);
    const edit = inTheirs.get(index);
    if (mine === undefined || edit === undefined) continue;
    take(index, mine, edit);
    merged.push(line);
    [atBase, atOwn, atTheirs] = [index + 1, mine + 1, edit + 1];
  }
  take(lines.length, own.length, theirs.length);
  return merged.join("\n");
}

/** Where each line of the first stands in the second, for those that are in both in the same order. */
function matches(from: readonly string[], to: readonly string[]): Map<number, number> {
  const found = new Map<number, number>();
  let [at, there] = [0, 0];
  for (const { added, removed, count } of diffArrays([...from], [...to])) {
    if (removed) at += count;
    else if (added) there += count;
    else for (let i = 0; i < count; i++) found.set(at++, there++);
  }
  return found;
}

function isSame(a: string, b: string): boolean {
  const [left, right] = [a, b].map((text) => parseDocument(text, { schema: "failsafe" }));
  return (
    left!.errors.length === 0 && JSON.stringify(left!.toJS()) === JSON.stringify(right!.toJS()) && commentsIn(a) === commentsIn(b)
  );
}

/** How many comments there are: none may get lost. */
export const commentsIn = (text: string): number => text.split("\n").filter((line) => /(^|\s)#/.test(line)).length;
