// JSON becomes records: a line each of NDJSON, or the elements of an array. Numbers stay as written.
import { parse as parseLossless, stringify as stringifyLossless } from "lossless-json";
import { LONGEST_LINE_BYTES } from "./limits.ts";
import { shortened } from "./physical-lines.ts";

/** What may be a number that a double writes differently. */
const HARD_NUMBER = /\d{16}|\d\.\d|\d[eE]/;

export type JsonObject = Record<string, unknown>;

/** An object, or null where the text is none. Numbers that a double can't hold come as their text. */
export function maybeObject(text: string): JsonObject | null {
  let value: unknown;
  try {
    value = HARD_NUMBER.test(text) ? parseLossless(text, null, (number) => number) : JSON.parse(text);
  } catch (error) {
    if (error instanceof SyntaxError || error instanceof RangeError) return null;
    throw error;
  }
  return typeof value === "object" && value !== null && !Array.isArray(value) ? (value as JsonObject) : null;
}

/** The same value without white space between, its numbers as written. */
export function compactJson(text: string): string {
  const isExact = HARD_NUMBER.test(text);
  return isExact ? (stringifyLossless(parseLossless(text)) ?? text) : JSON.stringify(JSON.parse(text));
}

/** The value at a path like `sessionInfo.user` as text; null where there is none. A key with dots in it goes before a path. */
export function textAt(object: JsonObject, path: string): string | null {
  const value = valueAt(object, path);
  if (value === null || value === undefined) return null;
  return typeof value === "object" ? JSON.stringify(value) : String(value);
}

export const hasPath = (object: JsonObject, path: string): boolean => valueAt(object, path) !== undefined;

function valueAt(object: JsonObject, path: string): unknown {
  if (Object.hasOwn(object, path)) return object[path];
  let value: unknown = object;
  for (const key of path.split(".")) {
    if (typeof value !== "object" || value === null || !Object.hasOwn(value, key)) return undefined;
    value = (value as JsonObject)[key];
  }
  return value;
}

export interface JsonElement {
  /** Counted from 1. */
  number: number;
  text: string;
  tooLong: boolean;
}

/**
 * Feed it text in pieces; it gives the elements of the array that it makes up (or, without brackets around, the values that follow
 * one another). A broken element costs nothing behind it: a string ends with its line at the latest, and a line that opens an object
 * no further in than the element that is still open begins the next one.
 */
export class ElementSplitter {
  #number = 0;
  #text = "";
  #depth = 0;
  #inString = false;
  #escaped = false;
  /** White space before the open element, where it is the first of its line; else null. */
  #indent: number | null = null;
  #lineStart: number | null = 0;
  #sawAny = false;

  add(piece: string): JsonElement[] {
    const elements: JsonElement[] = [];
    let from = 0;
    for (let at = 0; at < piece.length; at++) {
      const letter = piece[at]!;
      if (this.#escaped) {
        this.#escaped = false;
        if (letter !== "\n") continue;
      }
      if (letter === "\n" || letter === "\r") {
        if (this.#inString) {
          this.#finish(piece.slice(from, at), elements);
          from = at;
        }
        this.#lineStart = 0;
        continue;
      }
      if (this.#inString) {
        if (letter === "\\") this.#escaped = true;
        else if (letter === '"') this.#inString = false;
        continue;
      }
      const isIndent = letter === " " || letter === "\t";
      if (isIndent && this.#lineStart !== null) {
        this.#lineStart++;
        continue;
      }
      if (
        letter === "{" &&
        this.#depth > 0 &&
        this.#indent !== null &&
        this.#lineStart !== null &&
        this.#lineStart <= this.#indent
      ) {
        this.#finish(piece.slice(from, at), elements);
        from = at;
      }
      if (letter === '"') this.#inString = true;
      else if (letter === "{" || letter === "[") {
        if (letter === "[" && !this.#sawAny) from = at + 1;
        else {
          if (this.#depth === 0) this.#indent = this.#lineStart;
          this.#depth++;
        }
      } else if (letter === "," && this.#depth === 0) {
        this.#finish(piece.slice(from, at), elements);
        from = at + 1;
      } else if (letter === "}" || letter === "]") {
        const closesElement = this.#depth === 1;
        const closesArray = this.#depth === 0;
        if (closesElement || closesArray) {
          this.#finish(piece.slice(from, closesArray ? at : at + 1), elements);
          from = at + 1;
        } else this.#depth--;
      }
      if (!isIndent) {
        this.#sawAny = true;
        this.#lineStart = null;
      }
    }
    this.#text += piece.slice(from);
    if (this.#depth === 0 && !this.#inString && this.#text.length < 1024) this.#text = this.#text.trimStart();
    if (this.#text.length > LONGEST_LINE_BYTES) this.#finish("", elements);
    return elements;
  }

  end(): JsonElement[] {
    const elements: JsonElement[] = [];
    this.#finish("", elements);
    return elements;
  }

  #finish(tail: string, elements: JsonElement[]): void {
    const text = (this.#text + tail).trim();
    this.#text = "";
    this.#depth = 0;
    this.#inString = false;
    this.#indent = null;
    if (text === "") return;
    this.#number++;
    const short = shortened(text);
    elements.push({ number: this.#number, text: short, tooLong: short !== text });
  }
}
