// The lines that were not understood: listed, grouped by reason, and read again by themselves once the profile is mended.
import type { DuckDBConnection } from "@duckdb/node-api";
import { isHashedBadge } from "../../shared/badges.ts";
import type { Profile } from "../../shared/profile.ts";
import { ask, perform, question } from "../../shared/question.ts";
import { type Account, touchedByBoth } from "../accounting.ts";
import { sourceFromLines } from "../reading/spool.ts";
import { storeLog } from "../storing/store-log.ts";

const list = question(import.meta.url, "./list.sql");
const listByReason = question(import.meta.url, "./list-by-reason.sql");
const groups = question(import.meta.url, "./groups.sql");
const some = question(import.meta.url, "./some.sql");
const forget = question(import.meta.url, "./forget.sql");

export interface Reject {
  file: string;
  line: number;
  text: string;
  reason: string;
  field: string | null;
}

/** Every place once, by file and line. */
export function listRejects(connection: DuckDBConnection, limit = 1_000_000): Promise<Reject[]> {
  return ask<Reject>(connection, list, { limit });
}

export interface RejectGroup {
  /** Values at fault are left out: `time … is no date`. */
  reason: string;
  field: string | null;
  rejects: number;
  files: number;
  first_file: string;
  first_line: number;
}

/** The commonest reason first. */
export const rejectsByReason = (connection: DuckDBConnection): Promise<RejectGroup[]> =>
  ask<RejectGroup>(connection, listByReason);

export interface AgainRequest {
  profile: Profile;
  /** The workshop's. */
  zone: string;
  storedBadge: (badge: string) => string;
  /** The store's own folder. */
  workDir: string;
  signal?: AbortSignal;
}

const AT_ONCE = 50_000;

/**
 * Reads all rejects again by another profile, in the caller's transaction: what is understood now is stored, the rest is noted anew.
 * One account for each file. A badge that gave way to its keyed hash is taken for that hash. Throws UsageError for a column that the
 * file's own header lacks.
 */
export async function rejectsAgain(connection: DuckDBConnection, request: AgainRequest): Promise<Account[]> {
  const storedBadge = (badge: string): string => (isHashedBadge(badge) ? badge : request.storedBadge(badge));
  const accounts = new Map<string, Account>();
  for (const { file, header } of await ask<{ file: string; header: string | null }>(connection, groups)) {
    for (let after = -1; ; ) {
      request.signal?.throwIfAborted();
      const lines = await ask<{ line: number; text: string }>(connection, some, { file, header, after, limit: AT_ONCE });
      const last = lines.at(-1);
      if (last === undefined) break;
      after = last.line;
      const source = await sourceFromLines(
        { ...request, name: file },
        lines,
        header === null ? null : (JSON.parse(header) as string[]),
      );
      try {
        await perform(connection, forget, { file, lines: JSON.stringify(lines.map(({ line }) => line)) });
        const account = await storeLog(connection, { ...request, storedBadge, name: file, source, numbering: "given" });
        accounts.set(file, sumOf(accounts.get(file), account));
      } finally {
        source.remove();
      }
    }
  }
  return [...accounts.values()];
}

function sumOf(before: Account | undefined, account: Account): Account {
  if (before === undefined) return account;
  const { file, touched, ...counts } = account;
  const sums = Object.fromEntries(
    Object.entries(counts).map(([name, count]) => [name, count + before[name as keyof typeof counts]]),
  );
  return { ...(sums as typeof counts), file, touched: touchedByBoth(before.touched, touched) };
}
