// Bytes in any encoding become physical lines: CR LF, LF and a lone CR all end one. A line beyond a mebibyte is not held in memory:
// its beginning is kept, its length and hash are taken as it goes by.
import { createHash, type Hash } from "node:crypto";
import { KEPT_OF_LONG_LINE, LONGEST_LINE_BYTES } from "./limits.ts";

export interface PhysicalLine {
  /** Counted from 1. */
  line: number;
  text: string;
  /** Only the beginning of it is in `text`, with its length and hash behind. */
  tooLong: boolean;
}

/** Feed it chunks of bytes; it gives the lines that have ended. Undecodable bytes become U+FFFD; a byte order mark is dropped. */
export class LineSplitter {
  #decoder: TextDecoder;
  #pending = "";
  #returned = false;
  #line = 0;
  #long: { kept: string; hash: Hash; bytes: number } | null = null;

  constructor(encoding: string) {
    this.#decoder = new TextDecoder(encoding);
  }

  add(bytes: Uint8Array): PhysicalLine[] {
    return this.addText(this.#decoder.decode(bytes, { stream: true }));
  }

  /** The lines that are left: an unended last one counts. */
  end(): PhysicalLine[] {
    const lines = this.addText(this.#decoder.decode());
    if (this.#pending !== "" || this.#long !== null) this.#finish(this.#pending, lines);
    this.#pending = "";
    return lines;
  }

  addText(decoded: string): PhysicalLine[] {
    let text = decoded;
    if (this.#returned && text.startsWith("\n")) text = text.slice(1);
    if (decoded !== "") this.#returned = decoded.endsWith("\r");
    const lines: PhysicalLine[] = [];
    const ends = /\r\n?|\n/g;
    let from = 0;
    for (let end = ends.exec(text); end !== null; end = ends.exec(text)) {
      this.#finish(this.#pending + text.slice(from, end.index), lines);
      this.#pending = "";
      from = ends.lastIndex;
    }
    this.#pending += text.slice(from);
    if (this.#pending.length > LONGEST_LINE_BYTES) {
      this.#swallow(this.#pending);
      this.#pending = "";
    }
    return lines;
  }

  #swallow(text: string): void {
    this.#long ??= { kept: beginningOf(text), hash: createHash("sha256"), bytes: 0 };
    this.#long.hash.update(text);
    this.#long.bytes += Buffer.byteLength(text);
  }

  #finish(text: string, lines: PhysicalLine[]): void {
    const isLong = this.#long !== null || (text.length * 3 > LONGEST_LINE_BYTES && Buffer.byteLength(text) > LONGEST_LINE_BYTES);
    this.#line++;
    if (!isLong) {
      lines.push({ line: this.#line, text, tooLong: false });
      return;
    }
    this.#swallow(text);
    const { kept, hash, bytes } = this.#long!;
    lines.push({ line: this.#line, text: `${kept}… (${bytes} bytes, sha256 ${hash.digest("hex")})`, tooLong: true });
    this.#long = null;
  }
}

/** The first 64 KiB, no character cut in two. */
function beginningOf(text: string): string {
  const bytes = Buffer.from(text.slice(0, KEPT_OF_LONG_LINE)).subarray(0, KEPT_OF_LONG_LINE);
  return new TextDecoder().decode(bytes, { stream: true });
}

/** A text too long for a reject, shortened as a line would be. */
export function shortened(text: string): string {
  if (text.length * 3 <= LONGEST_LINE_BYTES || Buffer.byteLength(text) <= LONGEST_LINE_BYTES) return text;
  return `${beginningOf(text)}… (${Buffer.byteLength(text)} bytes, sha256 ${createHash("sha256").update(text).digest("hex")})`;
}

/** Whether a text is the beginning of one that was too long. */
export const isShortened = (text: string): boolean =>
  text.length >= KEPT_OF_LONG_LINE / 4 && /… \(\d+ bytes, sha256 [0-9a-f]{64}\)$/.test(text.slice(-120));
