// Copies of the store, made by DuckDB: no other code may open the store's path, since closing it again would drop the file's lock.
import { rmSync } from "node:fs";
import type { DuckDBConnection } from "@duckdb/node-api";

const quotedText = (text: string): string => `'${text.replaceAll("'", "''")}'`;
export const quotedName = (name: string): string => `"${name.replaceAll('"', '""')}"`;

let copies = 0;

/**
 * Writes the store as it is at this moment into a fresh file, which must lie in the store's work folder; others go on reading and
 * writing. Deleted rows are not in it. Where it fails no file is left.
 */
export async function copyDatabase(connection: DuckDBConnection, target: string): Promise<void> {
  copies += 1;
  const copied = quotedName(`copy ${process.pid} ${copies}`);
  const [[own] = []] = (await connection.runAndReadAll("SELECT current_database()")).getRows();
  await connection.run(`ATTACH ${quotedText(target)} AS ${copied}`);
  try {
    await connection.run(`COPY FROM DATABASE ${quotedName(String(own))} TO ${copied}`);
    await connection.run(`CHECKPOINT ${copied}`);
    await connection.run(`DETACH ${copied}`);
  } catch (error) {
    // The first error is the one to tell; a copy that is half made is of no use.
    await connection.run(`DETACH ${copied}`).catch(() => undefined);
    for (const file of [target, `${target}.wal`]) rmSync(file, { force: true });
    throw error;
  }
}
