// A power cut may leave the end of DuckDB's write-ahead log half written: cut short, or its length noted and its bytes not. DuckDB
// refuses a store with such a log. Nothing that was accepted stands in that last entry.
import { copyFileSync, readFileSync, renameSync, truncateSync } from "node:fs";

/** The log begins with its version; before each entry stand its length and its checksum, eight bytes each. */
const [versionBytes, headBytes] = [8, 16];

/** Lengths at which a log ends with a whole entry before the one that was last written to, the longest first. */
export function lengthsBeforeTear(log: Buffer): number[] {
  let lastWritten = log.length;
  while (lastWritten > 0 && log[lastWritten - 1] === 0) lastWritten -= 1;
  let at = versionBytes;
  while (at + headBytes <= log.length) {
    const end = at + headBytes + Number(log.readBigUInt64LE(at));
    if (end >= lastWritten || end <= at + headBytes) return end > at + headBytes && end < log.length ? [end, at] : [at];
    at = end;
  }
  return at < log.length ? [at] : [];
}

/**
 * Opens a store again whose log is refused, without the log's last entry; the log as it was is kept beside it. Where that doesn't
 * help, as for a log that is wrong in the middle, the log is put back and the error is the first one.
 */
export async function openedWithoutTear<T>(path: string, error: unknown, open: () => Promise<T>): Promise<T> {
  if (!(error instanceof Error) || !error.message.includes("Corrupt WAL file")) throw error;
  const aside = `${path}.torn`;
  copyFileSync(path, aside);
  for (const length of lengthsBeforeTear(readFileSync(path))) {
    truncateSync(path, length);
    try {
      return await open();
    } catch {
      // Not there: a shorter one may do, else the log is put back below.
    }
  }
  renameSync(aside, path);
  throw error;
}
