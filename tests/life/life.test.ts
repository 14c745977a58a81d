// The command from end to end: lives in run-hours, advice, the volunteer's decision, and what a wrong run factor may move.
import { afterEach, describe, expect, it } from "vitest";
import { loadLimitDraws } from "../../analytics/index.ts";
import { type Bench, openBench } from "../service/shop.ts";

let bench: Bench | undefined;
afterEach(() => bench?.close());

const workshop = (
  factor: number,
  costs = "cost_planned: 20, cost_failure: 200",
) => `workshop: {name: Wren Yard, zone: UTC, currency: EUR}
machines:
  - id: saw
    name: Saw
    stations: [{station: 5}]
    run_factor: ${factor}
    parts:
      - {id: blade, class: band-saw-blade, fitted: 2025-01-01, tasks: [{id: replace, every: {hours: 40}, ${costs}}, {id: inspect, every: {days: 60}}]}
  - {id: fan, name: Fan, always_on: true, parts: [{id: bearing, class: bearing, tasks: [{id: replace, every: {hours: 2000}}]}]}
`;

/** Two enabled hours a day for 400 days. */
function log(): string {
  const lines = ["time,station,event,badge"];
  for (let day = 0; day < 400; day++) {
    const stamp = (hour: number) => new Date(Date.UTC(2025, 0, 1 + day, hour)).toISOString();
    lines.push(`${stamp(9)},5,enable,7`, `${stamp(11)},5,release,7`);
  }
  return `${lines.join("\n")}\n`;
}

const day = (n: number, hour = 20) => new Date(Date.UTC(2025, 0, 1 + n, hour)).toISOString();
/** Blades that wear out: nearly equal lives. */
const changes = [28, 60, 85, 118, 148, 175, 209, 238, 265, 299, 330, 358];

async function withRecord(factor: number, costs?: string): Promise<Bench> {
  const made = await openBench(workshop(factor, costs), log());
  for (const [i, n] of changes.entries())
    await made.run("service add", { machine: "saw", task: "replace", found: i % 3 === 2 ? "worn" : "failed", time: day(n) });
  return made;
}

describe("almanac life", () => {
  it("gives lives in run-hours: enabled hours times the factor between records", async () => {
    bench = await withRecord(0.5);
    const { lives, machines } = await bench.run("life", { machine: "saw" });
    const [row] = lives;
    expect(row).toMatchObject({
      machine: "saw",
      part: "blade",
      task: "replace",
      unit: "hours",
      failures: 12,
      worn: 4,
      inUse: 1,
      leftOut: 0,
    });
    expect(row.rightCensored).toBe(1);
    // From the evening of one day to the evening of another: so many days of two enabled hours at half.
    const days = changes.map((n, i) => (i === 0 ? n + 1 : n - changes[i - 1]!));
    for (const [i, n] of days.entries()) expect(row.lives[i].age).toBeCloseTo(n, 6);
    expect(row.shape.low).toBeGreaterThan(1);
    expect(row.interval.advice).toBe("replace");
    expect(row.interval.hours.best).toBeLessThan(28);
    expect(row.interval.costPerHour).toBeLessThan(row.interval.costPerHourRunToFailure);
    expect(row.interval.costPerHour).toBeLessThanOrEqual(row.interval.costPerHourSet);
    expect(row.prior.source).toContain("shop band");
    expect(machines).toHaveLength(1);
    // Repairs are what broke; what was taken out worn is a service.
    expect(machines[0]).toMatchObject({
      machine: "saw",
      repairs: 8,
      services: 4,
      trend: { test: "laplace", verdict: "no-trend" },
    });
    expect(machines[0].curve.mean.at(-1)).toBe(8);
  });

  it("sees a machine get worse", async () => {
    bench = await openBench(workshop(0.5), log());
    for (const n of [200, 290, 330, 352, 368, 380, 388, 394])
      await bench.run("service add", { machine: "saw", task: "replace", found: "failed", time: day(n) });
    const { lives, machines } = await bench.run("life", { machine: "saw" });
    expect(machines[0].trend.verdict).toBe("getting-worse");
    expect(lives[0].trend.p).toBeLessThan(0.01);
  });

  it("answers without data, and without anything at all", async () => {
    bench = await openBench(workshop(0.5), null);
    const { lives, machines } = await bench.run("life");
    expect(
      lives.map(({ part, leftOut, inUse }: { part: string; leftOut: number; inUse: number }) => [part, leftOut, inUse]),
    ).toEqual([
      ["blade", 1, 0],
      ["bearing", 1, 0],
    ]);
    for (const { interval, trend, data } of lives) {
      expect(interval.advice).toBe("not-enough");
      expect(trend).toEqual({ insufficient: { have: 0, need: 4 } });
      expect(data).toBeNull();
    }
    expect(machines.every(({ curve }: { curve: unknown }) => curve === null)).toBe(true);
  });

  it("knows nothing that came after the as-of time", async () => {
    bench = await withRecord(0.5);
    const { lives } = await bench.run("life", { machine: "saw", asOf: day(100) });
    expect(lives[0]).toMatchObject({ failures: 3, inUse: 1 });
    expect(lives[0].lives).toHaveLength(4);
  });
});

describe("what the volunteer decides", () => {
  it("is kept, and the earlier words stay", async () => {
    bench = await withRecord(0.5);
    const first = await bench.run("life decide", { machine: "saw", task: "replace", choice: "suggested", by: "Ada" });
    expect(first.decisions[0]).toMatchObject({ choice: "suggested", unit: "hours", factor: 0.5, by: "Ada" });
    expect(first.decisions[0].interval).toBe(first.decisions[0].suggested);
    await bench.run("life decide", { machine: "saw", task: "replace", choice: "own", interval: 25 });
    const { decisions } = await bench.run("life decisions");
    expect(decisions.map(({ choice, interval }: { choice: string; interval: number }) => [choice, interval])).toEqual([
      ["own", 25],
      ["suggested", first.decisions[0].interval],
    ]);
    const { lives } = await bench.run("life", { machine: "saw", asOf: "now" });
    expect(lives[0].decision).toMatchObject({ choice: "own", interval: 25 });
    await expect(bench.run("life decide", { machine: "saw", task: "replace", choice: "own" })).rejects.toThrow(/interval/);
    await expect(bench.run("life decide", { machine: "saw", task: "inspect", choice: "set" })).rejects.toThrow(/ends a life/);
    await expect(bench.run("life decide", { machine: "fan", task: "replace", choice: "suggested" })).rejects.toThrow(/no age/);
  });

  it("moves the date: a shorter interval is due sooner, and the answer shows it", async () => {
    bench = await withRecord(0.5);
    const dueOf = async () => {
      const { tasks } = await bench!.run("due", { machine: "saw", asOf: "now" });
      return tasks.find(({ task }: { task: string }) => task === "replace");
    };
    const before = await dueOf();
    expect(before.interval).toBe(40);
    await bench.run("life decide", { machine: "saw", task: "replace", choice: "own", interval: 60 });
    const after = await dueOf();
    expect(after).toMatchObject({ basis: "hours", interval: 60, byHours: { interval: 60, typedInterval: 40 } });
    await bench.run("life decide", { machine: "saw", task: "replace", choice: "set" });
    expect((await dueOf()).interval).toBe(40);
  });

  it("is a limit for the forecast, in every world; without one the workshop file stands", async () => {
    bench = await withRecord(0.5);
    const limits = async () => {
      const connection = await bench!.holder.store!.connect();
      try {
        const draws = await loadLimitDraws(connection, { asOf: new Date(), zone: "UTC", worlds: 50, seed: 3 });
        return (machine: string, part: string, task: string) => {
          const limit = draws(machine, part, task);
          return limit === null ? null : Array.from(limit);
        };
      } finally {
        connection.closeSync();
      }
    };
    expect((await limits())("saw", "blade", "replace")).toBeNull();
    await bench.run("life decide", { machine: "saw", task: "replace", choice: "own", interval: 25 });
    expect([...new Set((await limits())("saw", "blade", "replace")!)]).toEqual([25]);
    await bench.run("life decide", { machine: "saw", task: "replace", choice: "run-to-failure" });
    const draws = (await limits())("saw", "blade", "replace")!;
    expect(draws).toHaveLength(50);
    const { lives } = await bench.run("life", { machine: "saw", asOf: "now" });
    const age = lives[0].lives.at(-1).age;
    expect(Math.min(...draws)).toBeGreaterThanOrEqual(age);
    expect(new Set(draws).size).toBeGreaterThan(40);
    expect([...(await limits())("saw", "blade", "replace")!]).toEqual([...draws]);
    await bench.run("life decide", { machine: "saw", task: "replace", choice: "set" });
    expect((await limits())("saw", "blade", "replace")).toBeNull();
  });
});

describe("a run factor wrong by two", () => {
  it("scales learned lives and the age suggested by just that, so that no date moves", async () => {
    const answers = [];
    const dates = [];
    for (const factor of [0.4, 0.8]) {
      const made = await withRecord(factor);
      const { lives } = await made.run("life", { machine: "saw" });
      answers.push(lives[0]);
      // Decided now, and asked as of now: the log ended long ago, so that use stands still but for what the forecast says.
      await made.run("life decide", { machine: "saw", task: "replace", choice: "suggested" });
      const { tasks } = await made.run("due", { machine: "saw", asOf: "now" });
      dates.push(tasks.find(({ task }: { task: string }) => task === "replace").due);
      made.close();
    }
    expect(dates[0]).not.toEqual({ early: null, median: null, late: null });
    expect(dates[1]).toEqual(dates[0]);
    const [right, wrong] = answers;
    expect(wrong.interval.advice).toBe("replace");
    // Under one part in two hundred: with one to two enabled hours a day, less than a day of any window here.
    for (const of of [(row: typeof right) => row.scaleHours.best, (row: typeof right) => row.interval.hours.best])
      expect(of(wrong) / of(right) / 2).toBeCloseTo(1, 2);
    expect(Math.abs(wrong.shape.best / right.shape.best - 1)).toBeLessThan(0.005);
    // The typed interval does move: it is in run-hours.
    expect(wrong.interval.setHours).toBe(right.interval.setHours);
  });
});
