// How many rows each table of a store's copy has: counted when it is packed and again when it is unpacked.
import { type DuckDBConnection, DuckDBInstance } from "@duckdb/node-api";
import { ask, question } from "../../shared/question.ts";
import { quotedName } from "../../shared/store-copy.ts";

const tableNames = question(import.meta.url, "../questions/table-names.sql");

/** Every table of the store behind this connection, in the order of its name. */
export const tablesOf = async (connection: DuckDBConnection): Promise<string[]> =>
  (await ask<{ name: string }>(connection, tableNames)).map(({ name }) => name);

/** `path` is a copy, never the store's own path. */
export async function rowsOfCopy(path: string): Promise<Record<string, number>> {
  const instance = await DuckDBInstance.create(path, { access_mode: "READ_ONLY" });
  try {
    const connection = await instance.connect();
    const rows: Record<string, number> = {};
    for (const name of await tablesOf(connection)) {
      const [[count] = []] = (await connection.runAndReadAll(`SELECT count(*)::double FROM ${quotedName(name)}`)).getRows();
      rows[name] = Number(count);
    }
    connection.closeSync();
    return rows;
  } finally {
    instance.closeSync();
  }
}
