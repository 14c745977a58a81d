// How fast what is used up is worked out: 128 machines of six tasks each over ten million events. Run by `npm run bench:service`;
// writes tests/bench-service.md. Sessions are made in SQL, from a fixed seed.
import { rmSync, writeFileSync } from "node:fs";
import { cpus, loadavg, tmpdir } from "node:os";
import { join } from "node:path";
import { refreshRollups, usedSoFar } from "../../analytics/index.ts";
import { inTransaction, openStore } from "../../shared/store.ts";

const sessions = Number(process.env.BENCH_SESSIONS ?? 5_000_000);
const repeats = Number(process.env.BENCH_REPEATS ?? 15);
const machines = 128;
const zone = "America/Halifax";
const file = join(tmpdir(), `almanac-bench-service-${process.pid}.duckdb`);

const store = await openStore(file);
const connection = await store.connect();
await inTransaction(connection, async () => {
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
});
const timed = async <T>(work: () => Promise<T>): Promise<{ ms: number; answer: T }> => {
  const began = performance.now();
  const answer = await work();
  return { ms: performance.now() - began, answer };
};
const rolling = await timed(() => inTransaction(connection, () => refreshRollups(connection, { zone })));
const asOf = new Date("2024-12-29T12:00:00Z");
const ask = () => usedSoFar(connection, { asOf, zone });
const cold = await timed(ask);
const warm: { wall: number; cpu: number }[] = [];
for (let i = 0; i < repeats; i++) {
  const before = process.cpuUsage();
  const { ms } = await timed(ask);
  const { user, system } = process.cpuUsage(before);
  warm.push({ wall: ms, cpu: (user + system) / 1000 });
}
const middle = (name: "wall" | "cpu"): number => warm.map((one) => one[name]).sort((a, b) => a - b)[Math.floor(warm.length / 2)]!;
const least = Math.min(...warm.map(({ wall }) => wall));
const tasks = cold.answer.tasks.length;
const text = `# What is used up, how fast

${sessions.toLocaleString("en")} sessions (twice as many events), ${machines} machines, ${tasks} tasks with a record each at any time of twelve years.
${cpus().length} × ${cpus()[0]?.model ?? "?"}, load ${loadavg()[0]!.toFixed(1)}; Node ${process.version}.

| | ms |
| --- | --: |
| roll-ups made | ${rolling.ms.toFixed(0)} |
| first answer of a process | ${cold.ms.toFixed(0)} |
| later answers, median of ${repeats} | ${middle("wall").toFixed(0)} |
| least of them | ${least.toFixed(0)} |
| processor time, median | ${middle("cpu").toFixed(0)} |
`;
writeFileSync(new URL("../bench-service.md", import.meta.url), text);
process.stdout.write(text);
connection.closeSync();
store.close();
for (const end of ["", ".wal", ".work"]) rmSync(`${file}${end}`, { recursive: true, force: true });
