// DuckDB keeps the bytes of deleted rows: where they must go, the whole store is written anew and put in its own place.
import { rmSync } from "node:fs";
import { join } from "node:path";
import { keepNote, noteOfStore, type Store } from "../../shared/store.ts";
import { copyDatabase } from "../../shared/store-copy.ts";
import { look } from "../access/turn.ts";

/** The caller's own connections must be closed. */
export async function rewriteStore(store: Store): Promise<void> {
  await store.replace(async () => {
    const made = join(store.workDir, "rewritten.duckdb");
    rmSync(made, { force: true });
    await look(store, (connection) => copyDatabase(connection, made));
    return made;
  });
  await look(store, (connection) => keepNote(connection, "rewrite", null));
}

/** Does what a process that died has left to do; gives whether there was something. */
export async function rewriteWhereDue(store: Store): Promise<boolean> {
  if ((await look(store, (connection) => noteOfStore(connection, "rewrite"))) === null) return false;
  await rewriteStore(store);
  return true;
}
