// How fast all rules are on ten million lines: the invented workshop's two years laid end to end sixty times over;
// writes tests/bench-findings.md. Run by `npm run bench:findings`.
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { cpus, loadavg, tmpdir } from "node:os";
import { join } from "node:path";
import type { DuckDBConnection } from "@duckdb/node-api";
import { foundByRules, rules, urgentRules } from "../../analytics/index.ts";
import { commandNamed, type Surroundings } from "../../dashboard/commands/command.ts";
import { commands } from "../../dashboard/commands/index.ts";
import { workshopForRules } from "../../dashboard/findings/findings-of.ts";
import { quiet } from "../../dashboard/progress.ts";
import { runCommand } from "../../dashboard/run.ts";
import { bringUpToDate } from "../../dashboard/upkeep.ts";
import { writeSampleWorkshop } from "../../sample-logs/index.ts";
import { inTransaction, loadWorkshop, openStore } from "../../shared/index.ts";

const tiles = Number(process.env.BENCH_TILES ?? 60);
const repeats = Number(process.env.BENCH_REPEATS ?? 5);
const dir = process.env.BENCH_DIR ?? mkdtempSync(join(tmpdir(), "almanac-bench-"));

/** Lays what was read and derived of two years before itself, so many times, each 104 weeks earlier. */
async function layTiles(c: DuckDBConnection): Promise<void> {
  const tile = "(SELECT unnest(range(1, $tiles::bigint)) AS k)";
  const times = (...columns: string[]) => columns.map((name) => `${name} - to_days((728 * k)::integer) AS ${name}`).join(", ");
  const laid = async (table: string, replaced: string) => {
    await c.run(`CREATE TEMP TABLE first_tile AS SELECT * FROM ${table}`);
    await c.run(`INSERT INTO ${table} SELECT * EXCLUDE (k) REPLACE (${replaced}) FROM first_tile, ${tile} ORDER BY k DESC`, {
      tiles,
    });
    await c.run("DROP TABLE first_tile");
  };
  await laid("event", times("occurred_at", "early_at", "late_at"));
  await laid(
    "session",
    `(hash(session_id, k) >> 1)::bigint AS session_id, ${times("started_at", "ended_at", "end_low", "end_best", "end_high")}`,
  );
  await laid("motor", times("started_at", "stopped_at", "stop_low", "stop_best", "stop_high"));
  await laid("alive_hour", times("hour_at"));
  await laid("alive_stretch", times("first_at", "last_at"));
  await laid("silence", times("low_at", "high_at", "alive_at"));
  await laid("opening", `${times("from_at", "until_at")}, day - (728 * k)::integer AS day`);
  await c.run("UPDATE roster SET valid_from = NULL, valid_until = NULL, machines = '[]'");
  await c.run("UPDATE machine_station SET from_at = '-infinity' WHERE from_at < TIMESTAMPTZ '2025-01-01'");
}

const made = writeSampleWorkshop({ dir, seed: 7, years: 2, until: "2026-10-01", mess: true, findings: true });
const path = join(dir, "almanac.duckdb");
const store = await openStore(path);
const surroundings: Surroundings = {
  cwd: dir,
  stdin: async () => "",
  progress: quiet,
  signal: new AbortController().signal,
  who: "bench",
  commands,
  asOfDefault: "last-event",
};
await runCommand(commandNamed(commands, "ingest"), { files: made.logs, workshop: made.workshop, store: path }, surroundings, {
  store,
});
const file = loadWorkshop(made.workshop);
const first = await store.connect();
const { lastEvent } = await bringUpToDate(store, first, file, 1);
await inTransaction(first, () => layTiles(first));
await first.run("CHECKPOINT");
const [counts] = (
  await first.runAndReadAll(
    "SELECT (SELECT count(*) FROM event)::int AS events, (SELECT sum(signs) FROM alive_hour)::int AS signs, (SELECT count(*) FROM session)::int AS sessions",
  )
).getRowObjectsJS() as { events: number; signs: number; sessions: number }[];
first.closeSync();
store.close();

const asOf = lastEvent!;
const day = 86_400_000;
const midnight = new Date(Math.floor(asOf.getTime() / day) * day - 3 * day);
const asked = { ...workshopForRules(file), zone: file.workshop.workshop.zone, asOf, seed: 1 };
const cpuSeconds = (since: NodeJS.CpuUsage) => {
  const { user, system } = process.cpuUsage(since);
  return (user + system) / 1e6;
};

interface Measured {
  wall: number;
  cpu: number;
  findings: number;
}

async function measured(
  since: Date | undefined,
  until: Date | undefined,
  only?: readonly (typeof rules)[number]["name"][],
): Promise<Measured> {
  const connection = await again.connect();
  const began = performance.now();
  const usage = process.cpuUsage();
  const found = await foundByRules(connection, { ...asked, since, until, only });
  const answer = { wall: (performance.now() - began) / 1000, cpu: cpuSeconds(usage), findings: found.length };
  connection.closeSync();
  return answer;
}

// From cold: a new process would open the store anew, as this does.
const again = await openStore(path);
const cold = await measured(undefined, undefined);
const byRule: [string, Measured, Measured][] = [];
for (const { name } of rules) {
  byRule.push([
    name,
    await measured(undefined, undefined, [name]),
    await measured(midnight, new Date(midnight.getTime() + day), [name]),
  ]);
}
const days: Measured[] = [];
for (let i = 0; i < repeats; i += 1) days.push(await measured(midnight, new Date(midnight.getTime() + day)));
const urgent: Measured[] = [];
for (let i = 0; i < repeats; i += 1) urgent.push(await measured(new Date(asOf.getTime() - day / 24), undefined, urgentRules));
again.close();
if (process.env.BENCH_DIR === undefined) rmSync(dir, { recursive: true, force: true });

const middle = (list: Measured[], key: "wall" | "cpu") => list.map((one) => one[key]).sort((a, b) => a - b)[list.length >> 1]!;
const ms = (seconds: number) => `${Math.round(seconds * 1000)} ms`;
const text = `# How fast findings are

${counts!.events.toLocaleString("en")} events and ${counts!.signs.toLocaleString("en")} signs of life, ${counts!.sessions.toLocaleString("en")} sessions; ${cpus().length} processors (${cpus()[0]?.model ?? "unknown"}), load ${loadavg()[0]!.toFixed(1)} when measured. Wall seconds grow with what else the machine does; processor seconds hardly.

| question | wall | processor | findings |
| --- | --: | --: | --: |
| all rules, the whole log, from cold | ${cold.wall.toFixed(1)} s | ${cold.cpu.toFixed(1)} s | ${cold.findings} |
| all rules, one new day (middle of ${repeats}) | ${ms(middle(days, "wall"))} | ${ms(middle(days, "cpu"))} | ${days[0]!.findings} |
| hardware in earnest, the last hour (middle of ${repeats}) | ${ms(middle(urgent, "wall"))} | ${ms(middle(urgent, "cpu"))} | ${urgent[0]!.findings} |

| rule | whole log, wall | processor | one day, wall | processor |
| --- | --: | --: | --: | --: |
${byRule.map(([name, whole, one]) => `| ${name} | ${ms(whole.wall)} | ${ms(whole.cpu)} | ${ms(one.wall)} | ${ms(one.cpu)} |`).join("\n")}
`;
writeFileSync(process.env.BENCH_OUT ?? new URL("../bench-findings.md", import.meta.url), text);
process.stdout.write(text);
