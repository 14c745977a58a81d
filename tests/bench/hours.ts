// How fast hours, occupancy and refreshRollups are on ten million events, beside hand-written SQL on the same store; writes
// tests/bench-hours.md. Run by `npm run bench:hours`; sessions are made in SQL, from a fixed seed, five million of them.
import { rmSync, statSync, writeFileSync } from "node:fs";
import { cpus, loadavg, tmpdir } from "node:os";
import { join } from "node:path";
import type { DuckDBConnection } from "@duckdb/node-api";
import { type Bucket, hoursRelation, occupancy, refreshRollups } from "../../analytics/index.ts";
import { inTransaction, openStore } from "../../shared/store.ts";

const sessions = Number(process.env.BENCH_SESSIONS ?? 5_000_000);
const repeats = Number(process.env.BENCH_REPEATS ?? 30);
const zone = "America/Halifax";
const file = process.env.BENCH_STORE ?? join(tmpdir(), `almanac-bench-${process.pid}.duckdb`);
const keep = process.env.BENCH_STORE !== undefined;
const isThere = keep && statSync(file, { throwIfNoEntry: false }) !== undefined;

const store = await openStore(file);
const connection = await store.connect();

async function furnish(c: DuckDBConnection): Promise<void> {
  // Sixty machines, six hundred members, twelve years, open 08:00 to 22:00 each day; one session in a hundred has no seen end.
  await c.run(`
    INSERT INTO machine
    SELECT 'machine-' || i, i, 'Machine ' || i, 'group-' || (i // 2), 'room-' || (i % 4), 'low', NULL, 'stations', NULL, NULL, 0, 0.4, 0.5, 0.6, false
    FROM range(60) AS t(i);
    INSERT INTO roster
    SELECT 'badge-' || i, 'person-' || (i // 2 * 2), NULL, 'member', NULL, NULL, '' FROM range(600) AS t(i);
    INSERT INTO opening
    SELECT timezone('${zone}', d + INTERVAL 8 HOUR), timezone('${zone}', d + INTERVAL 22 HOUR), 'member', d::date
    FROM (SELECT unnest(generate_series(TIMESTAMP '2013-01-01', TIMESTAMP '2025-12-31', INTERVAL 1 DAY)) AS d);
  `);
  await c.run(
    `INSERT INTO session
     WITH drawn AS (
       SELECT
         i,
         (hash(i, 1) % 60)::integer AS machine,
         (hash(i, 2) % 600)::integer AS badge,
         TIMESTAMP '2013-01-01' + to_days((hash(i, 3) % 4380)::integer) + to_seconds(28800 + (hash(i, 4) % 50400)::double) AS local_start,
         300 - 1500 * ln((1 + hash(i, 5) % 999999)::double / 1000000) AS seconds,
         hash(i, 6) % 100 = 0 AS is_unseen
       FROM range($sessions::bigint) AS t(i)
     ),
     placed AS (SELECT *, timezone('${zone}', local_start) AS started_at FROM drawn)
     SELECT
       i,
       'machine-' || machine,
       machine::varchar,
       'badge-' || badge,
       started_at,
       CASE WHEN NOT is_unseen THEN started_at + to_seconds(seconds) END,
       CASE WHEN is_unseen THEN 'lost' ELSE 'released' END,
       started_at + to_seconds(CASE WHEN is_unseen THEN 0 ELSE seconds END),
       started_at + to_seconds(seconds),
       started_at + to_seconds(CASE WHEN is_unseen THEN 6 * seconds ELSE seconds END),
       1,
       NULL,
       CASE WHEN is_unseen THEN list_transform(range(1, 101), lambda k: -seconds * ln(1 - (((k * (1 + i % 100)) % 101) - 0.5) / 101)) END,
       1
     FROM placed
     ORDER BY machine, started_at`,
    { sessions },
  );
  // What an event log of these sessions holds, for the first instant of the log.
  await c.run(`
    INSERT INTO event BY NAME SELECT 1 AS reading_id, 2 * session_id AS line, started_at AS occurred_at, station, 'enable' AS kind, badge FROM session;
    INSERT INTO event BY NAME SELECT 1 AS reading_id, 2 * session_id + 1 AS line, end_best AS occurred_at, station, 'release' AS kind, badge FROM session;
  `);
}

const handWritten: Record<string, string> = {
  machine: `SELECT machine, count(*)::int AS n, count(DISTINCT badge)::int AS m, sum(epoch_us(least(end_best, $until::timestamptz) - greatest(started_at, $since::timestamptz))) / 3.6e9 AS h
    FROM session WHERE started_at < $until::timestamptz AND end_best > $since::timestamptz GROUP BY machine`,
  day: `SELECT machine, date_trunc('day', timezone('${zone}', started_at)) AS d, count(*)::int AS n, count(DISTINCT badge)::int AS m, sum(epoch_us(end_best - started_at)) / 3.6e9 AS h
    FROM session WHERE started_at < $until::timestamptz AND end_best > $since::timestamptz GROUP BY ALL`,
  week: `SELECT machine, date_trunc('week', timezone('${zone}', started_at)) AS d, count(*)::int AS n, count(DISTINCT badge)::int AS m, sum(epoch_us(end_best - started_at)) / 3.6e9 AS h
    FROM session WHERE started_at < $until::timestamptz AND end_best > $since::timestamptz GROUP BY ALL`,
  month: `SELECT machine, date_trunc('month', timezone('${zone}', started_at)) AS d, count(*)::int AS n, count(DISTINCT badge)::int AS m, sum(epoch_us(end_best - started_at)) / 3.6e9 AS h
    FROM session WHERE started_at < $until::timestamptz AND end_best > $since::timestamptz GROUP BY ALL`,
  "hour-of-week": `SELECT machine, isodow(t) * 24 + hour(t) AS d, count(*)::int AS n, count(DISTINCT badge)::int AS m, sum(s) / 3600 AS h
    FROM (SELECT machine, badge, timezone('${zone}', started_at) AS t, epoch_us(end_best - started_at) / 1e6 AS s FROM session
      WHERE started_at < $until::timestamptz AND end_best > $since::timestamptz) GROUP BY ALL`,
  occupancy: `SELECT g, in_use, sum(epoch_us(n - t)) / 3.6e9 AS h FROM (
      SELECT g, t, lead(t) OVER (PARTITION BY g ORDER BY t, d) AS n, sum(d) OVER (PARTITION BY g ORDER BY t, d ROWS UNBOUNDED PRECEDING) AS in_use
      FROM (SELECT machine AS g, started_at AS t, 1 AS d FROM session WHERE started_at < $until::timestamptz AND end_best > $since::timestamptz
        UNION ALL SELECT machine, end_best, -1 FROM session WHERE started_at < $until::timestamptz AND end_best > $since::timestamptz)
    ) GROUP BY ALL`,
};

interface Took {
  wall: number;
  /** Of all threads: what is left of the truth where other programs want the processor too. */
  cpu: number;
}

const middle = (list: number[]): number => list.sort((a, b) => a - b)[list.length >> 1]!;

async function once(work: () => Promise<unknown>): Promise<Took> {
  const from = performance.now();
  const spent = process.cpuUsage();
  await work();
  const wall = performance.now() - from;
  const { user, system } = process.cpuUsage(spent);
  return { wall, cpu: (user + system) / 1000 };
}

async function median(times: number, work: () => Promise<unknown>): Promise<Took> {
  await work();
  const wall: number[] = [];
  const cpu: number[] = [];
  for (let i = 0; i < times; i++) {
    const took = await once(work);
    wall.push(took.wall);
    cpu.push(took.cpu);
  }
  return { wall: middle(wall), cpu: middle(cpu) };
}

const lines: string[] = [];
const say = (line: string) => {
  lines.push(line);
  process.stderr.write(`${line}\n`);
};

if (!isThere) {
  const from = performance.now();
  await furnish(connection);
  process.stderr.write(`store made in ${Math.round(performance.now() - from)} ms\n`);
  const begun = performance.now();
  await inTransaction(connection, () => refreshRollups(connection, { zone }));
  say(`All roll-ups made anew in ${((performance.now() - begun) / 1000).toFixed(1)} s.`);
}
const again = performance.now();
await inTransaction(connection, () => refreshRollups(connection, { zone }));
say(`\`refreshRollups\` with nothing changed: ${Math.round(performance.now() - again)} ms.`);
await connection.run(
  "UPDATE session SET starts = starts + 1 WHERE session_id % 1000 = 0 AND started_at >= TIMESTAMPTZ '2024-12-20'",
);
const part = performance.now();
const { months } = await inTransaction(connection, () => refreshRollups(connection, { zone }));
say(`\`refreshRollups\` with ${months} months changed: ${Math.round(performance.now() - part)} ms.`);
say("");
say("| question | span | rows | wall ms | CPU ms | by hand, wall ms | CPU ms | ratio of CPU |");
say("|---|---|---|---|---|---|---|---|");

const asOf = new Date("2024-12-29T13:00:00Z");
const spans = {
  "local hours, 11 years": { since: new Date("2013-03-05T14:00:00Z"), until: new Date("2024-09-18T21:00:00Z") },
  "local hours, one year": { since: new Date("2023-03-05T14:00:00Z"), until: new Date("2024-03-18T21:00:00Z") },
  "odd seconds, 11 years": { since: new Date("2013-03-05T14:13:27Z"), until: new Date("2024-09-18T21:44:01Z") },
  "the whole log": {},
};
const hand = new Map<string, Took>();
for (const [name, span] of Object.entries(spans)) {
  const values = {
    since: (span as { since?: Date }).since?.toISOString() ?? "2000-01-01T00:00:00Z",
    until: (span as { until?: Date }).until?.toISOString() ?? asOf.toISOString(),
  };
  for (const by of ["machine", "day", "week", "month", "hour-of-week", "occupancy"] as const) {
    let rows = 0;
    const took = await median(repeats, async () => {
      if (by === "occupancy") rows = (await occupancy(connection, { ...span, asOf, zone })).groups.length;
      else rows = (await hoursRelation(connection, { ...span, by: by as Bucket, asOf, zone })).relation.rowCount;
    });
    const key = `${by} ${values.since} ${values.until}`;
    if (!hand.has(key) && name.startsWith("local")) hand.set(key, await once(() => connection.run(handWritten[by]!, values)));
    const byHand = hand.get(key);
    const question = by === "occupancy" ? "`occupancy`" : `\`hours --by ${by}\``;
    const ratio = byHand
      ? `${Math.round(byHand.wall)} | ${Math.round(byHand.cpu)} | ${(took.cpu / byHand.cpu).toFixed(3)}`
      : "– | – | –";
    say(`| ${question} | ${name} | ${rows} | ${Math.round(took.wall)} | ${Math.round(took.cpu)} | ${ratio} |`);
  }
}
const size = statSync(file).size;
connection.closeSync();
store.close();
if (!keep) {
  rmSync(file, { force: true });
  rmSync(`${file}.work`, { recursive: true, force: true });
}
const cpu = `${cpus().length} × ${cpus()[0]?.model ?? "unknown processor"}`;
writeFileSync(
  new URL("../bench-hours.md", import.meta.url),
  `# Hours and occupancy on ten million events

Written by \`npm run bench:hours\` (${new Date().toISOString().slice(0, 10)}, Node ${process.version}, ${cpu}, median of ${repeats} warm runs on one connection; load of the machine ${loadavg()[0]!.toFixed(1)}). ${sessions.toLocaleString("en")} sessions of 60 machines and 300 persons over twelve years, one in a hundred without a seen end (100 joint worlds each); a store of ${Math.round(size / 1e6)} MB. "By hand" is a short query on the sessions of the same store that gives counts, members and hours, without ranges, local splitting or run-hours: a lower bound of what the question costs without roll-ups.

${lines.join("\n")}
`,
);
