// Physical lines become records: mostly one each, several where a quoted field spans them. An unclosed quote swallows nothing: the
// line that opened it is a fault, and reading goes on with the line behind it.
import { cellsOf } from "./cells.ts";
import { LONGEST_QUOTED_RECORD, MOST_LINES_OF_RECORD } from "./limits.ts";
import type { PhysicalLine } from "./physical-lines.ts";

/** Why a record gives no cells. */
export type RecordFault = "quote" | "long" | "width" | "json";

export interface LogRecord {
  /** The physical line where it starts, or the number of the element. */
  line: number;
  text: string;
  /** Null where it is blank or has a fault. */
  cells: string[] | null;
  fault: RecordFault | null;
}

const isBlank = (text: string): boolean => /^\s*$/.test(text);

/** Feed it physical lines in order; it gives the records that are complete. */
export class RecordAssembler {
  #delimiter: string;
  #quote: string;
  #width: () => number | undefined;
  #open: PhysicalLine[] = [];
  #openLength = 0;

  /** `width` is how many columns the header has, once it is known: a record over several lines must have as many. */
  constructor(delimiter: string, quote: string, width: () => number | undefined) {
    this.#delimiter = delimiter;
    this.#quote = quote;
    this.#width = width;
  }

  /** Whether a quoted field is still open. */
  get isOpen(): boolean {
    return this.#open.length > 0;
  }

  add(line: PhysicalLine): LogRecord[] {
    if (this.#open.length === 0) {
      const record = this.#alone(line);
      return record === null ? [] : [record];
    }
    this.#open.push(line);
    this.#openLength += line.text.length + 1;
    if (line.tooLong || this.#openLength > LONGEST_QUOTED_RECORD || this.#open.length > MOST_LINES_OF_RECORD)
      return this.#giveUp();
    if (!line.text.includes(this.#quote)) return [];
    const text = this.#open.map((part) => part.text).join("\n");
    const read = cellsOf(text, this.#delimiter, this.#quote);
    if (read.kind === "open") return [];
    if (read.kind === "malformed" || this.#isWrongWidth(read.cells)) return this.#giveUp();
    const record = { line: this.#open[0]!.line, text, cells: read.cells, fault: null };
    this.#open = [];
    return [record];
  }

  end(): LogRecord[] {
    const records: LogRecord[] = [];
    while (this.#open.length > 0) records.push(...this.#giveUp());
    return records;
  }

  /** A record of one line, or null where the line opens a quoted field that it doesn't close. */
  #alone(line: PhysicalLine): LogRecord | null {
    const { text } = line;
    if (line.tooLong) return { line: line.line, text, cells: null, fault: "long" };
    if (isBlank(text)) return { line: line.line, text, cells: null, fault: null };
    const read = cellsOf(text, this.#delimiter, this.#quote);
    if (read.kind === "whole") return { line: line.line, text, cells: read.cells, fault: null };
    if (read.kind === "malformed") return { line: line.line, text, cells: null, fault: "quote" };
    this.#open = [line];
    this.#openLength = text.length;
    return null;
  }

  /** The line that opened the quote is a fault; those behind it are read anew. */
  #giveUp(): LogRecord[] {
    const [first, ...behind] = this.#open;
    this.#open = [];
    const records: LogRecord[] = [{ line: first!.line, text: first!.text, cells: null, fault: "quote" }];
    for (const line of behind) for (const record of this.add(line)) records.push(record);
    return records;
  }

  #isWrongWidth(cells: string[]): boolean {
    const width = this.#width();
    return width !== undefined && cells.length !== width;
  }
}
