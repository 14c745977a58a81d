// How fast what is used up and when it is due are worked out: 128 machines of six tasks each over ten million events. Run by
// `npm run bench:service`; writes tests/bench-service.md. Sessions are made in SQL, from a fixed seed. BENCH_STORE names a store of
// an earlier run, roll-ups and all, that is asked instead and kept.
import { existsSync, rmSync, writeFileSync } from "node:fs";
import { cpus, loadavg, tmpdir } from "node:os";
import { join } from "node:path";
import { dueTasks, refreshRollups, usedSoFar } from "../../analytics/index.ts";
import { inTransaction, openStore } from "../../shared/store.ts";

const sessions = Number(process.env.BENCH_SESSIONS ?? 5_000_000);
const repeats = Number(process.env.BENCH_REPEATS ?? 15);
const machines = 128;
const zone = "America/Halifax";
const kept = process.env.BENCH_STORE;
const file = kept ?? join(tmpdir(), `almanac-bench-service-${process.pid}.duckdb`);
const isMade = kept !== undefined && existsSync(kept);

const store = await openStore(file);
const connection = await store.connect();
const make = async () => {
  // Twelve years, open 08:00 to 22:00 each day; one session in a hundred has no seen end.
  await connection.run(`
    INSERT INTO machine
    SELECT 'machine-' || i, i, 'Machine ' || i, 'group-' || (i // 2), NULL, 'low', NULL, 'stations', NULL, NULL, 0, 0.4, 0.5, 0.6, false
    FROM range(${machines}) AS t(i);
    INSERT INTO part SELECT 'machine-' || i, 'part', 0, 'part', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL FROM range(${machines}) AS t(i);
    INSERT INTO task
    SELECT 'machine-' || i, 'part', 'task-' || k, k, 'task ' || k, false, false, '[]', NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL
    FROM range(${machines}) AS t(i), range(6) AS u(k);
    INSERT INTO task_limit
    SELECT 'machine-' || i, 'part', 'task-' || k, ['hours', 'hours', 'starts', 'days', 'use-days', 'cycles'][k + 1], 100, NULL
    FROM range(${machines}) AS t(i), range(6) AS u(k);
    INSERT INTO service_record
    SELECT row_number() OVER (), 'machine-' || i, 'part', 'task-' || k,
      TIMESTAMPTZ '2013-01-01 00:00:00+00' + to_seconds((hash(i, k, 7) % 370000000)::double), NULL, 'good', NULL, NULL, NULL, NULL, NULL, NULL,
      NULL, NULL, false, now(), 'bench', 'import'
    FROM range(${machines}) AS t(i), range(6) AS u(k);
  `);
  await connection.run(
    `INSERT INTO session
     WITH drawn AS (
       SELECT
         i,
         (hash(i, 1) % ${machines})::integer AS machine,
         TIMESTAMP '2013-01-01' + to_days((hash(i, 3) % 4380)::integer) + to_seconds(28800 + (hash(i, 4) % 50400)::double) AS local_start,
         300 - 1500 * ln((1 + hash(i, 5) % 999999)::double / 1000000) AS seconds,
         hash(i, 6) % 100 = 0 AS is_unseen
       FROM range($sessions::bigint) AS t(i)
     ),
     placed AS (SELECT *, timezone('${zone}', local_start) AS started_at FROM drawn)
     SELECT
       i, 'machine-' || machine, machine::varchar, 'badge', started_at,
       CASE WHEN NOT is_unseen THEN started_at + to_seconds(seconds) END,
       CASE WHEN is_unseen THEN 'lost' ELSE 'released' END,
       started_at + to_seconds(CASE WHEN is_unseen THEN 0 ELSE seconds END),
       started_at + to_seconds(seconds),
       started_at + to_seconds(CASE WHEN is_unseen THEN 6 * seconds ELSE seconds END),
       1, NULL,
       CASE WHEN is_unseen THEN list_transform(range(1, 101), lambda k: -seconds * ln(1 - (((k * (1 + i % 100)) % 101) - 0.5) / 101)) END,
       1
     FROM placed
     ORDER BY started_at`,
    { sessions },
  );
};
const timed = async <T>(work: () => Promise<T>): Promise<{ ms: number; answer: T }> => {
  const began = performance.now();
  const answer = await work();
  return { ms: performance.now() - began, answer };
};
if (!isMade) await inTransaction(connection, make);
const rolling = isMade ? null : await timed(() => inTransaction(connection, () => refreshRollups(connection, { zone })));
const asOf = new Date("2024-12-29T12:00:00Z");
const ask = () => usedSoFar(connection, { asOf, zone });
interface Spent {
  wall: number;
  cpu: number;
}
const spentOn = async (work: () => Promise<unknown>): Promise<Spent> => {
  const before = process.cpuUsage();
  const { ms } = await timed(work);
  const { user, system } = process.cpuUsage(before);
  return { wall: ms, cpu: (user + system) / 1000 };
};
const many = async (work: () => Promise<unknown>): Promise<Spent[]> => {
  const all: Spent[] = [];
  for (let i = 0; i < repeats; i++) all.push(await spentOn(work));
  return all;
};
const dates = () => dueTasks(connection, { asOf, zone, seed: 1 });
const before = process.cpuUsage();
const cold = await timed(ask);
const coldCpu = process.cpuUsage(before);
const used = await many(ask);
const firstDates = await spentOn(dates);
const due = await many(dates);
const middle = (all: readonly Spent[], name: keyof Spent): string =>
  all
    .map((one) => one[name])
    .sort((a, b) => a - b)
    [all.length >> 1]!.toFixed(0);
const least = (all: readonly Spent[]): string => Math.min(...all.map(({ wall }) => wall)).toFixed(0);
const tasks = cold.answer.tasks.length;
const text = `# What is used up and when it is due, how fast

${sessions.toLocaleString("en")} sessions (twice as many events), ${machines} machines, ${tasks} tasks with a record each at any time of twelve years.
${cpus().length} × ${cpus()[0]?.model ?? "?"}, load ${loadavg()[0]!.toFixed(1)}; Node ${process.version}. Median of ${repeats}, where not the first.

| | ms | least | processor ms |
| --- | --: | --: | --: |
| roll-ups made | ${rolling === null ? "kept store" : rolling.ms.toFixed(0)} | | |
| used: first answer of a process | ${cold.ms.toFixed(0)} | | ${((coldCpu.user + coldCpu.system) / 1000).toFixed(0)} |
| used: later answers | ${middle(used, "wall")} | ${least(used)} | ${middle(used, "cpu")} |
| due: first answer after that | ${firstDates.wall.toFixed(0)} | | ${firstDates.cpu.toFixed(0)} |
| due: later answers | ${middle(due, "wall")} | ${least(due)} | ${middle(due, "cpu")} |
`;
writeFileSync(new URL("../bench-service.md", import.meta.url), text);
process.stdout.write(text);
connection.closeSync();
store.close();
if (kept === undefined) for (const end of ["", ".wal", ".work"]) rmSync(`${file}${end}`, { recursive: true, force: true });
