// One file, or one batch of live lines, becomes stored lines.
import type { DuckDBConnection } from "@duckdb/node-api";
import type { Profile } from "../shared/profile.ts";
import type { Account } from "./accounting.ts";
import type { Envelope } from "./reading/fields.ts";
import { sourceFromFile, sourceFromLines, sourceFromParquet } from "./reading/spool.ts";
import type { Watching } from "./reading/survey.ts";
import { storeLog } from "./storing/store-log.ts";

interface Request extends Watching {
  /** As the caller named the file, or the name of the live source. */
  name: string;
  profile: Profile;
  /** The workshop's. */
  zone: string;
  /** How a badge is stored: its keyed hash, or itself. */
  storedBadge: (badge: string) => string;
  /** The store's own folder, the only one that DuckDB may touch. */
  workDir: string;
}

export interface FileRequest extends Request {
  path: string;
  /** Whether the file may still be written: a last line that nothing ends yet is then left for the next reading. */
  isGrowing?: boolean;
}

export interface BatchRequest extends Request {
  /** Records as they came, or NDJSON in one text. */
  lines: string | readonly (string | ({ text: string } & Envelope))[];
}

/**
 * Stores a log's lines in the caller's transaction and accounts for each. The same lines again, in whatever file, add nothing.
 * Throws UsageError where the file can't be opened or lacks a column, FailedError for a cut or damaged archive: then the caller
 * rolls back, and nothing of the file is stored.
 */
export async function ingestFile(connection: DuckDBConnection, request: FileRequest): Promise<Account> {
  const source =
    request.profile.format === "parquet" ? await sourceFromParquet(connection, request) : await sourceFromFile(request);
  try {
    return await storeLog(connection, { ...request, source, numbering: "file" });
  } finally {
    source.remove();
  }
}

/** As `ingestFile`, of lines at hand; their numbers go on behind those of earlier batches of the same name. */
export async function ingestBatch(connection: DuckDBConnection, request: BatchRequest): Promise<Account> {
  const texts = typeof request.lines === "string" ? request.lines.replace(/\r?\n$/, "").split(/\r?\n/) : request.lines;
  const lines = texts.map((entry, index) => ({ line: index + 1, ...(typeof entry === "string" ? { text: entry } : entry) }));
  const source = await sourceFromLines(request, lines, null);
  try {
    return await storeLog(connection, { ...request, source, numbering: "goes-on" });
  } finally {
    source.remove();
  }
}
