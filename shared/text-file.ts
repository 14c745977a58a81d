// A text file that a user writes: read whole, as UTF-8, never more than a page of trouble.
import { readFileSync, statSync } from "node:fs";
import { UsageError } from "./errors.ts";

/** Far beyond any file written by hand; keeps a log given by mistake from filling the memory. */
const LARGEST_BYTES = 16 * 1024 * 1024;

/**
 * The text of a file, its byte order mark dropped. Throws UsageError where it can't be opened, is no file, is no UTF-8 or is
 * far too large to have been written by hand; `field` names what asked for it (`workshop`, `profile`, `roster`).
 */
export function loadText(path: string, field: string): string {
  let bytes: Buffer;
  try {
    const stat = statSync(path);
    if (stat.isDirectory()) throw new UsageError({ field, value: path, expected: "a file, not a folder" });
    if (stat.size > LARGEST_BYTES) {
      throw new UsageError({ field, value: path, expected: "a file of at most 16 MiB, as a person writes it" });
    }
    bytes = readFileSync(path);
  } catch (error) {
    if (error instanceof UsageError) throw error;
    throw new UsageError({ field, value: path, expected: `a file that can be opened (${reasonOf(error)})` });
  }
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    throw new UsageError({ field: "encoding", value: path, expected: "text in UTF-8", file: path, line: badLine(bytes) });
  }
}

/** The line of the first byte that is no UTF-8. */
function badLine(bytes: Buffer): number {
  const text = bytes.toString("utf8");
  const [before = ""] = text.split("\uFFFD", 1);
  return before.split("\n").length;
}

function reasonOf(error: unknown): string {
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  const reasons: Record<string, string> = { ENOENT: "there is none", EACCES: "no permission", ENOTDIR: "there is none" };
  return reasons[code] ?? (error instanceof Error ? error.message : String(error));
}
