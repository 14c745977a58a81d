import { z } from "zod";
import { ask, question } from "../../shared/question.ts";
import { noteOfStore } from "../../shared/store.ts";
import { type Row, storeCommand } from "./command.ts";

const tableNames = question(import.meta.url, "../questions/table-names.sql");
const unevenReadings = question(import.meta.url, "../questions/uneven-readings.sql");

interface Check {
  name: string;
  ok: boolean;
  detail: string | null;
}

export const verify = storeCommand({
  name: "verify",
  summary: "read all of the store, add up its counts, derive its sessions anew and compare",
  examples: ["almanac verify"],
  options: z.object({}),
  needs: "reads",
  http: "GET",
  need: "do-setup",
  async run({ connection }) {
    const { verifyDerivation } = await import("../../ingest/index.ts");
    const checks: Check[] = [];

    // A damaged block is noticed only when it is read: so every column of every table is.
    const tables = await ask<{ name: string }>(connection, tableNames);
    const unreadable: string[] = [];
    for (const { name } of tables) {
      await connection.run(`SELECT max(hash(COLUMNS(*))) FROM "${name.replaceAll('"', '""')}"`).catch((error: unknown) => {
        unreadable.push(`${name}: ${error instanceof Error ? error.message.split("\n")[0] : error}`);
      });
    }
    checks.push({
      name: "every table can be read",
      ok: unreadable.length === 0,
      detail: unreadable.join("; ") || `${tables.length} tables`,
    });

    const [uneven] = await ask<{ readings: number }>(connection, unevenReadings);
    checks.push({
      name: "the five counts of every reading add up",
      ok: uneven?.readings === 0,
      detail: uneven?.readings ? `${uneven.readings} readings don't` : null,
    });

    if (unreadable.length === 0) {
      const { ok, tables: derived } = await verifyDerivation(connection);
      const off = derived.filter(({ missing, extra }) => missing + extra > 0);
      const detail = off.map(({ table, missing, extra }) => `${table}: ${missing} rows missing, ${extra} too many`).join("; ");
      checks.push({ name: "sessions are what follows from the log", ok, detail: detail || null });
    }

    const ok = checks.every((check) => check.ok);
    return {
      head: { ok, schema: Number(await noteOfStore(connection, "schema")) },
      list: { name: "checks", rows: checks as unknown as Row[] },
      exitCode: ok ? 0 : 1,
    };
  },
});
