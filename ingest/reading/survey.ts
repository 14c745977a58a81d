// The byte pass: what is in a file before anything believes it. DuckDB reads cut archives, lone carriage returns and odd bytes
// silently wrong, so it is shown only files that this pass found clean; its count of lines is held against this one.
import { isUtf8 } from "node:buffer";
import { createReadStream } from "node:fs";
import { open } from "node:fs/promises";
import type { Readable } from "node:stream";
import { createGunzip } from "node:zlib";
import { FailedError, UsageError } from "../../shared/errors.ts";
import { decoderLabel, type Profile } from "../../shared/profile.ts";
import { LONGEST_LINE_BYTES } from "./limits.ts";

export interface Survey {
  /** Bytes as unpacked. */
  bytes: number;
  /** Physical lines, an unended last one included. */
  lines: number;
  /** Physical lines that have ended. */
  endedLines: number;
  gzip: boolean;
  /** The label by which TextDecoder knows the text's encoding: a byte order mark goes before the profile. */
  encoding: string;
  /** UTF-8 in which every line ends alike and no byte is one that DuckDB would stumble on. */
  clean: boolean;
  /** Whether the quote mark is anywhere in the file. */
  quoted: boolean;
  /** Whether a delimiter or the end of a line may have white space beside it. */
  padded: boolean;
}

/** Where the caller hears how far a reading is, and may end it. */
export interface Watching {
  onProgress?: (progress: { bytes: number; totalBytes: number }) => void;
  signal?: AbortSignal;
}

const MOST_AT_ONCE = 1 << 20;
const GZIP = [0x1f, 0x8b];
const FOREIGN: [string, number[]][] = [
  ["zip", [0x50, 0x4b, 0x03, 0x04]],
  ["xz", [0xfd, 0x37, 0x7a, 0x58, 0x5a, 0x00]],
  ["zstd", [0x28, 0xb5, 0x2f, 0xfd]],
  ["bzip2", [0x42, 0x5a, 0x68]],
];

/** The file's bytes, unpacked where it is a gzip archive whatever its name. Throws UsageError where it can't be opened. */
export async function openBytes(path: string, name: string): Promise<{ stream: Readable; gzip: boolean; totalBytes: number }> {
  const first = Buffer.alloc(6);
  let totalBytes: number;
  try {
    const handle = await open(path, "r");
    try {
      const about = await handle.stat();
      if (about.isDirectory()) throw Object.assign(new Error("a folder"), { code: "EISDIR" });
      totalBytes = about.size;
      await handle.read(first, 0, first.length, 0);
    } finally {
      await handle.close();
    }
  } catch (error) {
    throw new UsageError({ field: "file", value: name, expected: `a file that can be opened (${codeOf(error)})` });
  }
  const begins = (magic: number[]): boolean => magic.every((byte, index) => first[index] === byte);
  const foreign = FOREIGN.find(([, magic]) => begins(magic));
  if (foreign !== undefined) {
    throw new UsageError({
      field: "file",
      value: name,
      expected: `a log or its gzip, not a ${foreign[0]} archive: unpack it first`,
    });
  }
  const gzip = begins(GZIP);
  // No larger pieces than the file has: buffers of a megabyte for each of many small files keep the garbage collector busy.
  const file = createReadStream(path, { highWaterMark: Math.min(MOST_AT_ONCE, Math.max(1 << 14, totalBytes + 1)) });
  if (!gzip) return { stream: file, gzip, totalBytes };
  const unpacked = createGunzip({ chunkSize: MOST_AT_ONCE });
  file.on("error", (error) => unpacked.destroy(error));
  unpacked.on("close", () => file.destroy());
  file.pipe(unpacked);
  return { stream: unpacked, gzip, totalBytes };
}

/** Reads every byte once. Throws FailedError for a cut or damaged archive, UsageError where the file can't be opened. */
export async function survey(path: string, name: string, profile: Profile, watching: Watching = {}): Promise<Survey> {
  const { stream, gzip, totalBytes } = await openBytes(path, name);
  const counts = new ByteCounts(profile.quote, profile.delimiter);
  try {
    for await (const chunk of stream as AsyncIterable<Buffer>) {
      watching.signal?.throwIfAborted();
      counts.add(chunk);
      watching.onProgress?.({ bytes: counts.bytes, totalBytes });
    }
  } catch (error) {
    throw readError(error, name);
  }
  const encoding = counts.encodingByMark ?? decoderLabel(profile.encoding);
  return {
    bytes: counts.bytes,
    lines: counts.lines,
    endedLines: counts.endedLines,
    gzip,
    encoding,
    clean: encoding === "utf-8" && counts.clean,
    quoted: counts.quoted,
    padded: counts.padded,
  };
}

/** What reading bytes may run into, in our words. */
export function readError(error: unknown, name: string): unknown {
  const code = codeOf(error);
  if (code === "Z_BUF_ERROR") {
    return new FailedError(
      { field: "file", value: name, expected: "a whole gzip archive; this one is cut short, nothing of it was stored" },
      error,
    );
  }
  if (code.startsWith("Z_")) {
    return new FailedError(
      { field: "file", value: name, expected: `a sound gzip archive (${messageOf(error)}); nothing of it was stored` },
      error,
    );
  }
  if (["EIO", "EACCES", "EPERM", "ENOENT"].includes(code)) {
    return new FailedError({ field: "file", value: name, expected: `a file that can be read to its end (${code})` }, error);
  }
  return error;
}

const codeOf = (error: unknown): string => String((error as { code?: unknown } | null)?.code ?? messageOf(error));
const messageOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

const LF = 10;
const CR = 13;
const BLANKS = [9, 32];

class ByteCounts {
  bytes = 0;
  quoted = false;
  #ended = 0;
  #windowsEnds = 0;
  #returns = 0;
  #control = false;
  #badText = false;
  #longest = 0;
  #lineBytes = 0;
  #last = LF;
  #cut: Buffer = Buffer.alloc(0);
  #quote: Buffer;
  #mark: Buffer = Buffer.alloc(0);

  padded = false;
  readonly #delimiter: string;

  constructor(quote: string, delimiter: string) {
    this.#quote = Buffer.from(quote);
    this.#delimiter = delimiter;
  }

  add(chunk: Buffer): void {
    if (this.#mark.length < 3) this.#mark = Buffer.concat([this.#mark, chunk.subarray(0, 3 - this.#mark.length)]);
    this.#countLines(chunk);
    this.#control ||= chunk.includes(0) || chunk.includes(1);
    this.quoted ||= this.#quote.length > 0 && chunk.includes(this.#quote);
    this.padded ||= this.#hasPadding(chunk);
    if (!this.#badText) this.#checkText(chunk);
    this.bytes += chunk.length;
    this.#last = chunk.at(-1) ?? this.#last;
  }

  /** A blank cut from its neighbour by the chunk's edge counts as padding. */
  #hasPadding(chunk: Buffer): boolean {
    if (BLANKS.includes(chunk[0] ?? 0) || BLANKS.includes(chunk.at(-1) ?? 0)) return true;
    const ends = chunk.includes(CR) ? [this.#delimiter, "\n", "\r"] : [this.#delimiter, "\n"];
    return [" ", "\t"]
      .filter((blank) => blank !== this.#delimiter && chunk.includes(blank))
      .some(
        (blank) =>
          ends.some((end) => chunk.includes(`${blank}${end}`)) ||
          chunk.includes(`${this.#delimiter}${blank}`) ||
          chunk.includes(`\n${blank}`),
      );
  }

  #countLines(chunk: Buffer): void {
    let from = 0;
    for (let at = chunk.indexOf(LF); at !== -1; at = chunk.indexOf(LF, from)) {
      this.#ended++;
      const length = this.#lineBytes + at - from;
      if (length > this.#longest) this.#longest = length;
      this.#lineBytes = 0;
      from = at + 1;
    }
    this.#lineBytes += chunk.length - from;
    if (this.#lineBytes > this.#longest) this.#longest = this.#lineBytes;
    if (this.#last === CR && chunk[0] === LF) this.#windowsEnds++;
    for (let at = chunk.indexOf(CR); at !== -1; at = chunk.indexOf(CR, at + 1)) {
      this.#returns++;
      if (chunk[at + 1] === LF) this.#windowsEnds++;
    }
  }

  /** A character may be cut by the chunk's end: its first bytes wait for the next one. */
  #checkText(chunk: Buffer): void {
    const whole = this.#cut.length > 0 ? Buffer.concat([this.#cut, chunk]) : chunk;
    let keep = 0;
    for (let back = 1; back <= Math.min(3, whole.length); back++) {
      const byte = whole[whole.length - back] ?? 0;
      if ((byte & 0xc0) === 0x80) continue;
      const wanted = byte >= 0xf0 ? 4 : byte >= 0xe0 ? 3 : byte >= 0xc0 ? 2 : 1;
      if (wanted > back) keep = back;
      break;
    }
    this.#cut = Buffer.from(whole.subarray(whole.length - keep));
    if (!isUtf8(whole.subarray(0, whole.length - keep))) this.#badText = true;
  }

  get endedLines(): number {
    return this.#ended;
  }

  get lines(): number {
    return this.#ended + (this.#lineBytes > 0 ? 1 : 0);
  }

  get encodingByMark(): string | undefined {
    const [a, b, c] = this.#mark;
    if (a === 0xff && b === 0xfe) return "utf-16le";
    if (a === 0xfe && b === 0xff) return "utf-16be";
    return a === 0xef && b === 0xbb && c === 0xbf ? "utf-8" : undefined;
  }

  get clean(): boolean {
    const endsAlike = this.#returns === 0 || (this.#returns === this.#windowsEnds && this.#windowsEnds === this.#ended);
    return endsAlike && !this.#control && !this.#badText && this.#cut.length === 0 && this.#longest <= LONGEST_LINE_BYTES;
  }
}
