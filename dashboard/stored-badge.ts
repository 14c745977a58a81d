// In which form a store keeps badges: hashed under its own key or as written, the forgotten by what stands in for them.
import { existsSync } from "node:fs";
import { join } from "node:path";
import type { DuckDBConnection } from "@duckdb/node-api";
import { type BadgeKey, badgeKey, badgeKeyPath, badgeStorer } from "../shared/badges.ts";
import { FailedError } from "../shared/errors.ts";
import { ask, question } from "../shared/question.ts";
import { keepNote, noteOfStore, type Store } from "../shared/store.ts";
import type { WorkshopFile } from "../shared/workshop.ts";

const everyForgotten = question(import.meta.url, "./questions/forgotten.sql");

/** Where the key of a store lies; a store that is gone afterwards has a key that is, too. */
export const keyPathOf = (store: Store): string =>
  badgeKeyPath(store.path === ":memory:" ? join(store.workDir, "memory") : store.path);

/**
 * How this workshop's badges are kept in this store. Whoever stores badges asks in its turn among the writers (`isInTurn`), since
 * somebody may be forgotten while it waits. Throws FailedError where the key is missing, or is another than the store's.
 */
export async function storedBadgeOf(
  store: Store,
  connection: DuckDBConnection,
  { workshop }: WorkshopFile,
  isInTurn = false,
): Promise<(badge: string) => string> {
  const badges = workshop.privacy?.badges ?? "hashed";
  const forgotten = await ask<{ mark: string; stand_in: string }>(connection, everyForgotten);
  const key = badges === "hashed" || forgotten.length > 0 ? await keyOf(store, connection, isInTurn) : null;
  return badgeStorer(key, badges, new Map(forgotten.map(({ mark, stand_in }) => [mark, stand_in])));
}

/** The store's own key, made where none was needed so far. */
export async function keyOf(store: Store, connection: DuckDBConnection, isInTurn = false): Promise<BadgeKey> {
  const path = keyPathOf(store);
  const known = await noteOfStore(connection, "badge-key");
  const other = (is: string) =>
    new FailedError({
      field: "badge key",
      value: path,
      expected: `the key that this store's badges were hashed with (${is}); put it back, or begin a new one with 'almanac badge-key --new'`,
    });
  if (known !== null && !existsSync(path)) throw other("there is none");
  const key = badgeKey(path);
  if (known !== null && known !== key.fingerprint) throw other("this is another one");
  const note = () => keepNote(connection, "badge-key", key.fingerprint);
  if (known === null) await (isInTurn ? note() : store.exclusively(note));
  return key;
}
