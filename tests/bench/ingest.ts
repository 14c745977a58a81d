// Measures the reading of a log: `npm run bench:ingest [-- events [rounds]]`. Ten million events in one file through the whole path up
// to the stored, deduplicated lines, next to bare DuckDB on the same file in the same run; then what a thousand new events cost in a
// small and in a large store. The table is kept as tests/bench-ingest.md.
import { mkdirSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DuckDBInstance } from "@duckdb/node-api";
import { ingestBatch, ingestFile } from "../../ingest/index.ts";
import { houseProfile } from "../../shared/profile.ts";
import { inTransaction, openStore, type Store } from "../../shared/store.ts";
import { writeLog } from "./ingest-log.ts";

const MEMORY = "512MB";
const events = Number(process.argv[2] ?? 10_000_000);
const rounds = Number(process.argv[3] ?? 3);
const folder = join(tmpdir(), "almanac-bench");
const log = join(folder, `log-${events}.csv`);

interface Cost {
  seconds: number;
  cpuSeconds: number;
}

async function cost(work: () => Promise<unknown>): Promise<Cost> {
  const [clock, cpu] = [performance.now(), process.cpuUsage()];
  await work();
  const used = process.cpuUsage(cpu);
  return { seconds: (performance.now() - clock) / 1000, cpuSeconds: (used.user + used.system) / 1e6 };
}

function median(costs: Cost[]): Cost {
  const middle = (pick: (one: Cost) => number): number => costs.map(pick).sort((a, b) => a - b)[Math.floor(costs.length / 2)]!;
  return { seconds: middle(({ seconds }) => seconds), cpuSeconds: middle(({ cpuSeconds }) => cpuSeconds) };
}

/** Typed columns into a table, one window query making sessions: the least that anyone could do. */
async function bare(path: string): Promise<void> {
  rmSync(path, { force: true });
  const instance = await DuckDBInstance.create(path, { memory_limit: MEMORY, temp_directory: join(folder, "spill") });
  const connection = await instance.connect();
  await connection.run(
    `CREATE TABLE event AS SELECT * FROM read_csv('${log}', header = true, columns = {'time': 'TIMESTAMP', 'station': 'VARCHAR', 'event': 'VARCHAR', 'badge': 'VARCHAR'})`,
  );
  await connection.run(
    `CREATE TABLE session AS SELECT station, badge, time AS started, next_time AS ended
     FROM (SELECT *, lead(time) OVER following AS next_time, lead(event) OVER following AS next_event FROM event WINDOW following AS (PARTITION BY station ORDER BY time))
     WHERE event = 'enable'`,
  );
  connection.closeSync();
  instance.closeSync();
}

async function freshStore(name: string): Promise<Store> {
  const path = join(folder, name);
  for (const ending of ["", ".wal", ".work"]) rmSync(`${path}${ending}`, { force: true, recursive: true });
  return openStore(path, { memory: MEMORY });
}

const how = { zone: "America/Halifax", storedBadge: (badge: string) => badge };

async function whole(store: Store, path: string): Promise<void> {
  const connection = await store.connect();
  await inTransaction(connection, () =>
    ingestFile(connection, { ...how, name: path, path, profile: houseProfile("csv"), workDir: store.workDir }),
  );
  connection.closeSync();
}

/** A thousand events behind all others. */
async function thousand(store: Store, round: number): Promise<Cost> {
  const from = Date.UTC(2026, 0, 10 + round);
  const lines = Array.from({ length: 1000 }, (_, index) =>
    JSON.stringify({
      time: new Date(from + index * 1000).toISOString(),
      station: String(index % 64),
      event: index % 2 ? "release" : "enable",
      badge: "1001",
    }),
  );
  const connection = await store.connect();
  const spent = await cost(() =>
    inTransaction(connection, () =>
      ingestBatch(connection, { ...how, name: "live", lines, profile: houseProfile("ndjson"), workDir: store.workDir }),
    ),
  );
  connection.closeSync();
  return spent;
}

mkdirSync(folder, { recursive: true });
await writeLog(log, events);
const bareCosts: Cost[] = [];
const wholeCosts: Cost[] = [];
let peakRss = 0;
const watch = setInterval(() => {
  peakRss = Math.max(peakRss, process.memoryUsage().rss);
}, 50);
let large: Store | undefined;
for (let round = 0; round < rounds; round++) {
  large?.close();
  bareCosts.push(await cost(() => bare(join(folder, "bare.duckdb"))));
  large = await freshStore("large.duckdb");
  peakRss = 0;
  const store = large;
  wholeCosts.push(await cost(() => whole(store, log)));
}
clearInterval(watch);
const small = await freshStore("small.duckdb");
const smallLog = join(folder, "log-100000.csv");
await writeLog(smallLog, 100_000);
await whole(small, smallLog);
const added: { small: Cost[]; large: Cost[] } = { small: [], large: [] };
for (let round = 0; round < 7; round++) {
  added.small.push(await thousand(small, round));
  added.large.push(await thousand(large!, round));
}
small.close();
large!.close();
const [b, w, s, l] = [median(bareCosts), median(wholeCosts), median(added.small), median(added.large)];
const row = (what: string, { seconds, cpuSeconds }: Cost): string =>
  `| ${what} | ${seconds.toFixed(2)} | ${cpuSeconds.toFixed(2)} |`;
const table = `# Reading a log: what it costs
Made by \`npm run bench:ingest -- ${events} ${rounds}\` on Node ${process.version}, DuckDB limit ${MEMORY}; medians of ${rounds} rounds (7 for the thousand).
The file: ${events} events, ${(statSync(log).size / 1e6).toFixed(0)} MB. Bare: read_csv with types into a table and one window query making sessions.
Reading: byte pass, typing, local time, duplicates, storing (without deriving sessions).

| | wall s | CPU s |
|---|---|---|
${row("bare DuckDB", b)}
${row("reading", w)}
${row("a thousand events more, store of 100,000", s)}
${row(`a thousand events more, store of ${events}`, l)}

Reading is ${(w.seconds / b.seconds).toFixed(2)} times bare DuckDB (CPU ${(w.cpuSeconds / b.cpuSeconds).toFixed(2)}); its peak of resident memory ${(peakRss / 1e6).toFixed(0)} MB.
A thousand events cost ${(l.seconds / s.seconds).toFixed(2)} times as much in the large store (CPU ${(l.cpuSeconds / s.cpuSeconds).toFixed(2)}).
`;
writeFileSync(new URL("../bench-ingest.md", import.meta.url), table);
process.stdout.write(table);
