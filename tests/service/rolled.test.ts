// What is used comes from rolled-up days where it can: the same as from the sessions themselves.
import { afterAll, beforeAll, expect, test } from "vitest";
import { usedSoFar } from "../../analytics/index.ts";
import { type Bench, openBench, workshopText } from "./shop.ts";

let bench: Bench;
beforeAll(async () => {
  // Overlapping sessions on both saws at odd minutes, some past midnight, one in nine without its end; five months with the clock
  // change in March.
  const lines = ["time,station,event,badge"];
  for (let day = 0; day < 150; day++) {
    for (const [station, hour] of [
      [21, 9],
      [22, 10],
      [21, 23],
    ] as const) {
      const start = Date.UTC(2025, 1, 3 + day, hour, (day * 7 + station) % 60);
      const at = (ms: number) => new Date(ms).toISOString();
      lines.push(`${at(start)},${station},enable,${station}`);
      if ((day + station + hour) % 9)
        lines.push(`${at(start + (40 + ((day * 13) % 90)) * 60_000)},${station},release,${station}`);
    }
  }
  const [header, ...rest] = lines;
  const byUse = workshopText.replace(
    "{id: sharpen, every: {hours: 10}",
    "{id: sharpen, every: {hours: 10, use_days: 9, cycles: 8}",
  );
  bench = await openBench(byUse, `${[header, ...rest.sort()].join("\n")}\n`);
}, 120_000);
afterAll(() => bench.close());

test("in every unit, since any moment of any day, with the same ranges", async () => {
  const zone = "Europe/Lisbon";
  const asOf = new Date("2025-07-04T12:00:00Z");
  const connection = await bench.holder.store.connect();
  const rolledUp = await connection.runAndReadAll("SELECT count(*)::int FROM rollup WHERE tier = 'day'");
  expect(rolledUp.getRows()[0]![0]).toBeGreaterThan(300);
  const times = [
    "2025-02-03T09:30",
    "2025-03-30T02:30",
    "2025-04-01T00:00",
    "2025-04-17T23:59:59",
    "2025-07-03T08:00",
    "2025-07-04T12:30",
  ];
  for (const [i, time] of times.entries()) {
    for (const [machine, part, task] of [
      ["planer", "knives", "sharpen"],
      ["lathe", "contactor", "replace"],
      ["dust-collector", "filter", "clean"],
    ] as const) {
      // The second of two ends a span, so that both ends are looked up.
      const until = times[(i + 1) % times.length]!;
      const span = i % 2 === 0 && until > time ? { until } : {};
      await bench.run("service add", { machine, part, task, found: "unknown", time, ...span, twice: true });
    }
    const rolled = await usedSoFar(connection, { asOf, zone });
    const plain = await usedSoFar(connection, { asOf, zone, rollups: false });
    const again = await usedSoFar(connection, { asOf, zone });
    const figures = ({ tasks }: typeof plain) =>
      tasks.flatMap(({ by }) => by.flatMap(({ used }) => [used.low, used.best, used.high]));
    expect(figures(again)).toEqual(figures(rolled));
    for (const [at, figure] of figures(plain).entries()) {
      const other = figures(rolled)[at]!;
      if (figure === null) expect(other).toBeNull();
      else expect(other).toBeCloseTo(figure, 6);
    }
  }
  connection.closeSync();
}, 240_000);
