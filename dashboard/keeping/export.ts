// The event history as Parquet, a folder for each year, with the questions that give the same answers over it.
import { cpSync, existsSync, mkdirSync, readdirSync, rmSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { UsageError } from "../../shared/errors.ts";
import { ask, bindable, question } from "../../shared/question.ts";
import { noteCopy } from "../../shared/store.ts";
import { inTurn } from "../access/turn.ts";
import type { Desk } from "../commands/command.ts";

const years = question(import.meta.url, "./export/years.sql");
const kinds = {
  events: question(import.meta.url, "./export/events.sql"),
  stretches: question(import.meta.url, "./export/stretches.sql"),
  sessions: question(import.meta.url, "./export/sessions.sql"),
  alive: question(import.meta.url, "./export/alive.sql"),
  motors: question(import.meta.url, "./export/motors.sql"),
};

export interface Exported {
  year: number;
  file: string;
  rows: number;
}

/** Writes into `folder`, which must be new or empty. DuckDB may write in the work folder only; from there the whole is moved. */
export async function exportHistory({ store, connection, span: { zone } }: Desk, folder: string): Promise<Exported[]> {
  if (existsSync(folder) && readdirSync(folder).length > 0)
    throw new UsageError({ field: "dir", value: folder, expected: "a new or an empty folder" });
  const made = join(store.workDir, `export-${process.pid}-${Date.now()}`);
  const files: Exported[] = [];
  try {
    mkdirSync(made, { recursive: true });
    // One moment for all of it, whatever is stored meanwhile.
    await connection.run("BEGIN TRANSACTION READ ONLY");
    try {
      for (const { year } of await ask<{ year: number }>(connection, years, { zone })) {
        mkdirSync(join(made, `year=${year}`));
        for (const [kind, { sql }] of Object.entries(kinds)) {
          const file = `year=${year}/${kind}.parquet`;
          const into = join(made, file).replaceAll("'", "''");
          const copied = await connection.run(
            `COPY (${sql.trim().replace(/;$/, "")}) TO '${into}' (FORMAT parquet, COMPRESSION zstd)`,
            bindable({ zone, year }),
          );
          if (copied.rowsChanged > 0) files.push({ year, file, rows: copied.rowsChanged });
          else rmSync(join(made, file));
        }
      }
    } finally {
      await connection.run("COMMIT");
    }
    const beside = (name: string) => fileURLToPath(new URL(`./export/${name}`, import.meta.url));
    cpSync(beside("README.md"), join(made, "README.md"));
    cpSync(beside("queries"), join(made, "queries"), { recursive: true });
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    cpSync(made, folder, { recursive: true });
    await inTurn(store, (own) => noteCopy(own, { kind: "export", path: folder, madeAt: new Date() }));
    return files;
  } finally {
    rmSync(made, { recursive: true, force: true });
  }
}
