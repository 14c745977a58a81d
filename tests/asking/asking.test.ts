// Is the reading that is asked for worth having? Ten askings by worth against ten at random, in interval score, over seeds.
import { afterEach, describe, expect, it } from "vitest";
import { intervalScore } from "../../analytics/stats/index.ts";
import { type Bench, openBench, workshopText } from "../service/shop.ts";
import { seeded } from "../stats/random.ts";

let bench: Bench | undefined;
afterEach(() => bench?.close());

const machineCount = 30;
const days = 140;
const asOf = Date.UTC(2025, 0, 1 + days);
const dayMs = 86_400_000;

interface Machine {
  id: string;
  /** Run-hours per enabled hour: what was typed, and what is true. */
  low: number;
  high: number;
  truth: number;
  /** Enabled hours on each weekday. */
  daily: number;
  interval: number;
}

/** Machines whose typed factor is known well, fairly or hardly; the truth lies somewhere in what was typed. */
function shopOf(seed: number): Machine[] {
  const random = seeded(seed);
  return Array.from({ length: machineCount }, (_, i) => {
    const spread = [0.03, 0.1, 0.45][i % 3]!;
    const middle = 0.3 + 0.4 * random();
    const [low, high] = [middle * (1 - spread), middle * (1 + spread)];
    const daily = 0.5 + 2.5 * random();
    // A triangle between what was typed, as it is taken.
    const truth = low + ((random() + random()) / 2) * (high - low);
    const interval = middle * daily * (5 / 7) * (days + 20 + 70 * random());
    return { id: `m${i}`, low, high, truth, daily, interval };
  });
}

const weekdays = (until: number): number =>
  Array.from({ length: until }, (_, day) => new Date(Date.UTC(2025, 0, 1 + day)).getUTCDay()).filter((day) => day > 0 && day < 6)
    .length;

function workshopOf(machines: readonly Machine[], read: ReadonlySet<string>): string {
  const lines = machines.map(({ id, low, high, truth, daily, interval }) => {
    const now = new Date(asOf).toISOString();
    const shown = 100 + truth * daily * weekdays(days);
    const readings = [
      `{time: 2025-01-01T00:00Z, hours: 100}`,
      ...(read.has(id) ? [`{time: ${now.slice(0, 16)}Z, hours: ${shown.toFixed(1)}}`] : []),
    ];
    return `  - {id: ${id}, stations: [{station: ${id}}], run_factor: {low: ${low}, best: ${(low + high) / 2}, high: ${high}}, meter_readings: [${readings.join(", ")}], parts: [{id: belt, fitted: 2025-01-01, tasks: [{id: replace, every: {hours: ${interval}}}]}]}`;
  });
  return `workshop: {name: Asked, zone: UTC, currency: EUR}\nmachines:\n${lines.join("\n")}\n`;
}

function logOf(machines: readonly Machine[]): string {
  const lines = ["time,station,event,badge"];
  for (let day = 0; day < days; day++) {
    const at = Date.UTC(2025, 0, 1 + day);
    const weekday = new Date(at).getUTCDay();
    if (weekday === 0 || weekday === 6) continue;
    for (const { id, daily } of machines) {
      const stamp = (hour: number) => new Date(at + Math.round(hour * 3600) * 1000).toISOString();
      lines.push(`${stamp(9)},${id},enable,7`, `${stamp(9 + daily)},${id},release,7`);
    }
  }
  return `${lines.join("\n")}\n`;
}

/** The day ahead on which the true run-hours reach the interval, use going on as it did. */
function trueDay({ truth, daily, interval }: Machine): number {
  for (let day = 1; ; day++) if (truth * daily * weekdays(day) >= interval) return day - 1 - days;
}

/** Mean 80 % interval score of the windows, in days, with these machines' meters read. */
async function scoreWith(
  machines: readonly Machine[],
  log: string,
  read: ReadonlySet<string>,
): Promise<{ score: number; best: string[] }> {
  bench = await openBench(workshopOf(machines, read), log);
  const stamp = new Date(asOf).toISOString();
  const { tasks } = await bench.run("due", { asOf: stamp });
  const { askings } = read.size === 0 ? await bench.run("asking", { asOf: stamp }) : { askings: [] };
  bench.close();
  bench = undefined;
  const scores = machines.map((machine) => {
    const { due } = tasks.find((task: { machine: string }) => task.machine === machine.id);
    const ahead = (day: string): number => Math.round((Date.parse(`${day}T00:00:00Z`) - asOf) / dayMs);
    const [early, late] = [ahead(due.early), due.late === null ? 730 : ahead(due.late)];
    return intervalScore({ lower: early, upper: late, alpha: 0.2 }, trueDay(machine));
  });
  return {
    score: scores.reduce((sum, one) => sum + one, 0) / scores.length,
    best: askings.map(({ machine }: { machine: string }) => machine),
  };
}

describe("asking for what is worth most", () => {
  it("beats asking at random by three tenths of the interval score after ten askings", async () => {
    const worth: number[] = [];
    const chance: number[] = [];
    for (const seed of [1, 2, 3]) {
      const machines = shopOf(seed);
      const log = logOf(machines);
      const { best } = await scoreWith(machines, log, new Set());
      const random = seeded(seed + 100);
      const shuffled = machines
        .map(({ id }) => ({ id, at: random() }))
        .sort((a, b) => a.at - b.at)
        .map(({ id }) => id);
      worth.push((await scoreWith(machines, log, new Set(best.slice(0, 10)))).score);
      chance.push((await scoreWith(machines, log, new Set(shuffled.slice(0, 10)))).score);
    }
    const sum = (list: number[]): number => list.reduce((total, one) => total + one, 0);
    console.info(
      `interval score in days, by worth ${worth.map((one) => one.toFixed(1))}, at random ${chance.map((one) => one.toFixed(1))}`,
    );
    expect(sum(worth)).toBeLessThan(0.7 * sum(chance));
  }, 300_000);

  it("asks nothing where nothing would change, and asks first for what nobody has said", async () => {
    bench = await openBench(
      `workshop: {name: Known, zone: UTC, currency: EUR}\nmachines:\n  - {id: saw, stations: [{station: 21}], run_factor: 0.5, run_factor_fixed: true, parts: [{id: belt, fitted: 2025-03-03, tasks: [{id: replace, every: {hours: 90}}]}]}\n`,
    );
    const { asked, askings } = await bench.run("asking");
    expect([asked, askings]).toEqual([null, []]);
    bench.close();
    bench = await openBench(workshopText);
    const { asked: first } = await bench.run("asking");
    expect(first).toMatchObject({ kind: "last-done", windows: 1 });
    expect(first.text).toContain("last done");
  });
});
