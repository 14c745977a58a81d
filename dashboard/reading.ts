// Reads logs into the store: a transaction for the lines of each file, then one for all that follows from them.
import { dirname, resolve } from "node:path";
import { ingestFile, rejectsAgain } from "../ingest/index.ts";
import { houseProfile, inTransaction, loadProfile, type Profile, UsageError } from "../shared/index.ts";
import type { Answer, Desk } from "./commands/command.ts";
import { storedBadgeOf } from "./stored-badge.ts";
import { bringUpToDate, noteTouched } from "./upkeep.ts";

/** The profile named by the caller, else the workshop file's, else null for the house format of each file. */
async function chosenProfile({ surroundings, workshop }: Desk, named: string | null): Promise<Profile | null> {
  if (named !== null) return loadProfile(resolve(surroundings.cwd, named));
  return workshop.profilePath === null ? null : loadProfile(resolve(dirname(workshop.path), workshop.profilePath));
}

/** Reads the files one after the other; a file that fails leaves those before it stored and derived. `nameOf` is a file's name in the log. */
export async function readFiles(
  desk: Desk,
  files: readonly string[],
  named: string | null,
  strict: boolean,
  nameOf = (file: string): string => file,
): Promise<Answer> {
  const profile = await chosenProfile(desk, named);
  const {
    store,
    connection,
    surroundings,
    span: { zone },
    workshop,
    seed,
  } = desk;
  const read: Awaited<ReturnType<typeof ingestFile>>[] = [];
  try {
    for (const file of files) {
      const path = resolve(surroundings.cwd, file);
      const counts = await store.exclusively(() =>
        inTransaction(connection, async () => {
          const storedBadge = await storedBadgeOf(store, connection, workshop, true);
          const counts = await ingestFile(connection, {
            name: nameOf(file),
            path,
            profile: profile ?? houseProfile(/\.(ndjson|jsonl)(\.gz)?$/i.test(path) ? "ndjson" : "csv"),
            zone,
            storedBadge,
            workDir: store.workDir,
            signal: surroundings.signal,
            onProgress: ({ bytes, totalBytes }) => surroundings.progress.update(bytes, totalBytes, file),
          });
          await noteTouched(connection, counts.touched);
          return counts;
        }),
      );
      read.push(counts);
    }
  } catch (error) {
    // The first error is the one to tell; where the disk is full this fails too, and the next command does it.
    await bringUpToDate(store, connection, workshop, seed).catch(() => undefined);
    throw error;
  }
  const log = await bringUpToDate(store, connection, workshop, seed);
  const rows = read.map(({ touched: _, ...counts }) => counts);
  const isRejected = rows.some(({ rejected }) => rejected > 0);
  return {
    head: { sessions: log.sessions, from: log.firstEvent?.toISOString() ?? null, until: log.lastEvent?.toISOString() ?? null },
    list: { name: "files", rows: rows as unknown as Record<string, unknown>[] },
    exitCode: strict && isRejected ? 3 : 0,
  };
}

/**
 * Reads just the rejected lines again; those that are understood now are stored, the others noted anew. Tells how many it read, how
 * many of them are rejected no more, and how many stand rejected still.
 */
export async function readRejectsAgain(
  desk: Desk,
  named: string | null,
): Promise<{ read: number; mended: number; left: number }> {
  const { store, connection, surroundings, span, workshop, seed } = desk;
  if (surroundings.asOfDefault === "now")
    throw new UsageError({ field: "again", value: true, expected: "to be typed at the command line" });
  const profile = (await chosenProfile(desk, named)) ?? houseProfile("csv");
  const counts = { read: 0, mended: 0, left: 0 };
  await store.exclusively(() =>
    inTransaction(connection, async () => {
      const storedBadge = await storedBadgeOf(store, connection, workshop, true);
      const accounts = await rejectsAgain(connection, {
        profile,
        zone: span.zone,
        storedBadge,
        workDir: store.workDir,
        signal: surroundings.signal,
      });
      for (const { lines, rejected, touched } of accounts) {
        counts.read += lines;
        counts.left += rejected;
        counts.mended += lines - rejected;
        await noteTouched(connection, touched);
      }
    }),
  );
  await bringUpToDate(store, connection, workshop, seed);
  return counts;
}
