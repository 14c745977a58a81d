// Due dates on a store: one unit for what is learned and what is forecast, nothing from after the as-of time, the ledger.
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { dueTasks, keepLedger, type LimitDraws, ledger } from "../../analytics/index.ts";
import { useSince } from "../../analytics/service/since.ts";
import { inTransaction } from "../../shared/index.ts";
import { type Bench, openBench } from "../service/shop.ts";

const zone = "Europe/Lisbon";
const workshop = (factor: number) => `workshop: {name: Tern Lane Workshop, zone: ${zone}, currency: EUR}
hours:
  member: {mon: ["08:00-18:00"], tue: ["08:00-18:00"], wed: ["08:00-18:00"], thu: ["08:00-18:00"], fri: ["08:00-18:00"]}
  exceptions: [{from: 2025-08-04, until: 2025-08-15, closed: true}]
machines:
  - id: planer
    name: Planer
    hazard: high
    stations: [{station: 21}]
    run_factor: ${factor}
    parts: [{id: knives, class: planer-knives, tasks: [{id: replace, every: {hours: 40}}]}]
  - {id: lathe, name: Lathe, stations: [{station: 22}], parts: [{id: belt, class: belt, fitted: 2025-03-03, tasks: [{id: tension, every: {starts: 90}}]}]}
`;
/** One to three hours on each weekday, in an order that repeats every seven weekdays. */
function logText(from: number, until: number): string {
  const lines = ["time,station,event,badge"];
  for (let day = from; day < until; day++) {
    if (day % 7 > 4) continue;
    const at = (hour: number) => new Date(Date.UTC(2025, 2, 3 + day, 0, Math.round(60 * hour))).toISOString();
    const long = 1 + ((day * 5) % 7) / 3;
    lines.push(`${at(9)},21,enable,7`, `${at(9 + long)},21,release,7`, `${at(14)},22,enable,8`, `${at(15)},22,release,8`);
  }
  return `${lines.join("\n")}\n`;
}
const replaced = ["2025-03-03T07:00", "2025-04-01T07:00", "2025-05-06T07:00", "2025-05-28T07:00", "2025-07-01T07:00"];

async function shop(factor: number): Promise<Bench> {
  const bench = await openBench(workshop(factor), logText(0, 133));
  const rows = replaced.map((time) => `${time},planer,knives,replace,worn`);
  writeFileSync(join(bench.dir, "done.csv"), `time,machine,part,task,found\n${rows.join("\n")}\n`);
  await bench.run("service import", { file: "done.csv" });
  return bench;
}

/** Limits drawn from the lives between the records, as the store tells them. */
async function livesOf(bench: Bench, asOf: Date): Promise<LimitDraws> {
  const connection = await bench.holder.store.connect();
  const points = replaced.map((time) => ({ machine: "planer", from: new Date(`${time}Z`) }));
  const use = await useSince(connection, { asOf, zone }, points);
  connection.closeSync();
  const since = points.map(({ from }) => use.since("planer", from).hours!.best);
  const lives = since.slice(0, -1).map((hours, i) => hours - since[i + 1]!);
  const draws = Float64Array.from({ length: 200 }, (_, world) => lives[world % lives.length]!);
  return (machine) => (machine === "planer" ? draws : null);
}

describe("one unit", () => {
  const asOf = new Date("2025-07-12T12:00:00Z");
  const knives = async (bench: Bench, limitDraws?: LimitDraws) => {
    const connection = await bench.holder.store.connect();
    const { tasks } = await dueTasks(connection, { asOf, zone, seed: 1, limitDraws });
    connection.closeSync();
    return tasks.find(({ machine }) => machine === "planer")!;
  };

  test("a run factor wrong by two moves no date that rests on a learned life, and moves the typed ones", async () => {
    const [right, wrong] = [await shop(0.3), await shop(0.6)];
    const learned = [await knives(right, await livesOf(right, asOf)), await knives(wrong, await livesOf(wrong, asOf))];
    expect(learned[1]!.due).toEqual(learned[0]!.due);
    expect(learned[1]!.dots).toEqual(learned[0]!.dots);
    expect(learned[0]!.due.early).not.toBeNull();
    // In run-hours everything is twice as much.
    expect(learned[1]!.byHours!.interval / learned[0]!.byHours!.interval).toBeCloseTo(2, 9);
    expect(learned[1]!.used!.best! / learned[0]!.used!.best!).toBeCloseTo(2, 9);
    const typed = [await knives(right), await knives(wrong)];
    expect(typed[0]!.due.median! > typed[1]!.due.median!).toBe(true);
    expect(typed[0]!.byHours).toMatchObject({ interval: 40, typedInterval: 40 });
    for (const bench of [right, wrong]) bench.close();
  });
});

describe("as of", () => {
  let bench: Bench;
  beforeAll(async () => {
    bench = await shop(0.5);
  });
  afterAll(() => bench.close());

  const asOf = "2025-07-04T20:00";
  test("what comes later changes no earlier date: lines, records, outages", async () => {
    const before = (await bench.run("due", { asOf })).tasks;
    const backtested = await bench.run("backtest", { asOf });
    writeFileSync(join(bench.dir, "more.csv"), logText(133, 190));
    await bench.run("ingest", { files: ["more.csv"] });
    writeFileSync(join(bench.dir, "later.csv"), "time,machine,part,task,found\n2025-07-08T07:00,planer,knives,replace,failed\n");
    await bench.run("service import", { file: "later.csv" });
    await bench.run("outage add", { machine: "lathe", from: "2025-07-20T09:00", reason: "bearing" });
    expect((await bench.run("due", { asOf })).tasks).toEqual(before);
    expect(await bench.run("backtest", { asOf })).toEqual(backtested);
    expect((await bench.run("due")).tasks).not.toEqual(before);
  });

  test("closed weeks ahead put a date behind them; weekends never have one", async () => {
    const { tasks } = await bench.run("due", { asOf: "2025-07-31T20:00" });
    const belt = tasks.find(({ machine }: { machine: string }) => machine === "lathe");
    const dates = [belt.due.early, belt.due.median, belt.due.late, ...belt.dots];
    expect(dates).toHaveLength(23);
    for (const date of dates) {
      expect(date < "2025-08-04" || date > "2025-08-15").toBe(true);
      expect([0, 6]).not.toContain(new Date(`${date}T00:00:00Z`).getUTCDay());
    }
  });
});

describe("the ledger", () => {
  test("windows are kept once a week as they were issued, and what came of them is noted later", async () => {
    const bench = await openBench(workshop(0.5), logText(0, 1));
    const { store } = bench.holder;
    writeFileSync(join(bench.dir, "done.csv"), "time,machine,part,task,found\n2025-03-03T07:00,planer,knives,replace,good\n");
    await bench.run("service import", { file: "done.csv" });
    const until = [28, 31, 35, 42, 98];
    for (const [i, day] of until.entries()) {
      writeFileSync(join(bench.dir, `part-${i}.csv`), logText(until[i - 1] ?? 1, day));
      await bench.run("ingest", { files: [`part-${i}.csv`] });
    }
    const connection = await store.connect();
    const asOf = new Date("2025-06-06T18:00:00Z");
    const told = await ledger(connection, { asOf, zone });
    const belts = told.windows.filter(({ machine }) => machine === "lathe");
    const days = belts.map(({ issuedAt }) => Date.parse(issuedAt) / 86_400_000);
    // Not on 3 April, three days after the one before.
    expect(belts.map(({ issuedAt }) => issuedAt.slice(0, 10))).toEqual(["2025-03-28", "2025-04-04", "2025-04-11", "2025-06-06"]);
    expect(days.slice(1).every((day, i) => day - days[i]! >= 7 - 1 / 24)).toBe(true);
    // One start a weekday: the ninetieth is that of 4 July.
    expect(belts.every(({ result, crossed }) => result === "open" && crossed === null)).toBe(true);
    const planed = told.windows.filter(({ machine, result }) => machine === "planer" && result !== "open");
    expect(new Set(planed.map(({ crossed }) => crossed)).size).toBe(1);
    expect(told.settled).toBeGreaterThan(0);
    expect(told.words).toBe(`in the last year ${told.held} of ${told.settled} of our windows held; four in five is meant`);
    // Asked again within the week, nothing is issued; what was issued is the same for ever.
    expect(await inTransaction(connection, () => keepLedger(connection, { asOf, zone, seed: 1 }))).toBeNull();
    const early = await ledger(connection, { asOf: new Date("2025-05-01T12:00:00Z"), zone });
    expect(early.windows.map(({ early: from, late }) => [from, late])).toEqual(
      told.windows.slice(0, early.windows.length).map(({ early: from, late }) => [from, late]),
    );
    connection.closeSync();
    bench.close();
  });
});
