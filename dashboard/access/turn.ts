// One change at a time to the tables of accounts, visits, tokens and the trail; their own line, so that nobody waits to sign in
// until a long log is read.
import type { DuckDBConnection } from "@duckdb/node-api";
import { inTransaction, type Store } from "../../shared/store.ts";

const lines = new WeakMap<Store, Promise<unknown>>();

/** A look, on a connection of its own. */
export async function look<T>(store: Store, work: (connection: DuckDBConnection) => Promise<T>): Promise<T> {
  const connection = await store.connect();
  try {
    return await work(connection);
  } finally {
    connection.closeSync();
  }
}

/** A change: all of it or nothing, after those that came before. */
export function inTurn<T>(store: Store, work: (connection: DuckDBConnection) => Promise<T>): Promise<T> {
  // In the house before in the line: one who waits outside must not hold up those within.
  return store.stay(() => {
    const before = lines.get(store) ?? Promise.resolve();
    const change = () => look(store, (connection) => inTransaction(connection, () => work(connection)));
    const turn = before.then(change, change);
    lines.set(
      store,
      turn.catch(() => undefined),
    );
    return turn;
  });
}
