// kill -9 in the midst of a reading, then the reading again: the store equals an undisturbed one.
import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, test } from "vitest";
import { openStore } from "../../shared/store.ts";
import { chance } from "./hostile-files.ts";

const script = new URL("./killed-ingest.ts", import.meta.url).pathname;

/** Ingests in a process of its own, killed so many milliseconds after it began; gives whether it got done. */
async function ingest(store: string, log: string, killAfter?: number): Promise<boolean> {
  const child = spawn(process.execPath, ["--import", "tsx", script, store, log], { stdio: ["ignore", "pipe", "inherit"] });
  let said = "";
  child.stdout.on("data", (text: Buffer) => {
    if (killAfter !== undefined && said === "") setTimeout(() => child.kill("SIGKILL"), killAfter);
    said += text.toString();
  });
  await once(child, "close");
  return said.includes("done");
}

async function told(path: string): Promise<unknown> {
  const store = await openStore(path);
  const connection = await store.connect();
  const read = async (sql: string): Promise<unknown> => (await connection.runAndReadAll(sql)).getRowsJson();
  const answer = {
    events: await read("SELECT count(*), sum(hash(line, occurred_at, station, kind, badge, sequence)) FROM event"),
    alive: await read("SELECT * FROM alive_hour ORDER BY ALL"),
    rejects: await read("SELECT file, line, text FROM reject ORDER BY ALL"),
    readings: await read("SELECT lines, stored, duplicates, rejected FROM reading"),
    scratch: await read(
      "SELECT (SELECT count(*) FROM log_stage) + (SELECT count(*) FROM log_drop) + (SELECT count(*) FROM log_alive)",
    ),
  };
  connection.closeSync();
  store.close();
  return answer;
}

test("a reading that was killed left nothing, and done again gives the undisturbed store", { timeout: 300_000 }, async () => {
  const folder = mkdtempSync(join(tmpdir(), "almanac-killed-"));
  const log = join(folder, "log.csv");
  const lines = Array.from({ length: 150_000 }, (_, index) => {
    const time = new Date(Date.UTC(2025, 0, 1, 0, 0, index * 20)).toISOString();
    return index % 1000 === 999
      ? `${time},1,jump,,`
      : `${time},${index % 9},${index % 5 === 0 ? "alive" : index % 2 ? "enable" : "release"},${index % 5 === 0 ? "" : 417},${index}`;
  });
  writeFileSync(log, `time,station,event,badge,sequence\n${lines.join("\n")}\n`);
  const undisturbed = join(folder, "undisturbed.duckdb");
  expect(await ingest(undisturbed, log)).toBe(true);
  const expected = await told(undisturbed);
  const next = chance(9);
  const killed = join(folder, "killed.duckdb");
  let kills = 0;
  for (let attempt = 0; attempt < 4; attempt++)
    if (!(await ingest(killed, log, next(900)))) kills++;
    else break;
  expect(kills).toBeGreaterThan(0);
  await ingest(killed, log);
  const after = (await told(killed)) as { readings: unknown[] };
  // Where a process got done before it was killed its lines were duplicates the second time.
  expect({ ...after, readings: after.readings.slice(0, 1) }).toEqual(expected);
  expect(readdirSync(`${killed}.work`).filter((name) => name.startsWith("spool-"))).toEqual([]);
  rmSync(folder, { recursive: true, force: true });
});
