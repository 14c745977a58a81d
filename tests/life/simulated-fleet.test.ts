// Lives by the record of a simulated fleet of a hundred machines that run round the clock (a public sample for predictive
// maintenance; its SOURCE.md derives 743 failures, 2,143 scheduled changes and 400 parts still in use).

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { learnedLives } from "../../analytics/life/learned.ts";
import { type Bench, openBench } from "../service/shop.ts";
import { hasDatasets, rowsOf } from "../stats/datasets.ts";

describe.skipIf(!hasDatasets)("the simulated fleet", () => {
  let bench: Bench;
  const until = "2016-01-01T06:00:00Z";
  beforeAll(async () => {
    const parts = ["comp1", "comp2", "comp3", "comp4"]
      .map((part) => `{id: ${part}, tasks: [{id: replace, every: {hours: 1000}, cost_planned: 100, cost_failure: 400}]}`)
      .join(", ");
    const machines = Array.from({ length: 100 }, (_, i) => `  - {id: m${i + 1}, always_on: true, parts: [${parts}]}`);
    const workshop = `workshop: {name: Simulated fleet, zone: UTC, currency: EUR}\nmachines:\n${machines.join("\n")}\n`;
    const log = "time,station,event,badge\n2014-05-31T00:00:00Z,1,boot,\n2016-01-01T06:00:00Z,1,boot,\n";
    bench = await openBench(workshop, log);
    const failed = new Set(
      rowsOf("pdm-azure/PdM_failures.csv").map(({ datetime, machineID, failure }) => `${datetime} ${machineID} ${failure}`),
    );
    const lines = rowsOf("pdm-azure/PdM_maintenance.csv").map(({ datetime, machineID, comp }) => {
      const found = failed.has(`${datetime} ${machineID} ${comp}`) ? "failed" : "good";
      return `${datetime!.slice(0, 19)}Z,m${machineID},${comp},replace,${found}`;
    });
    writeFileSync(join(bench.dir, "records.csv"), `time,machine,part,task,found\n${lines.join("\n")}\n`);
    await bench.answer("service import", { file: "records.csv" });
  }, 240_000);
  afterAll(() => bench?.close());

  it("has 743 lives that failed, 2,143 cut short by a scheduled change, 400 in use, and 400 of unknown age left out", async () => {
    const connection = await bench.holder.store!.connect();
    try {
      const { all } = await learnedLives(connection, { asOf: new Date(until), zone: "UTC" });
      const lives = all.flatMap((one) => one.lives);
      const count = (end: string) => lives.filter((life) => life.end === end).length;
      expect(all).toHaveLength(400);
      expect([count("failed"), count("good"), count("in-use")]).toEqual([743, 2143, 400]);
      expect(all.reduce((sum, { leftOut }) => sum + leftOut, 0)).toBe(400);
      // Always on: run-hours are the clock's. Scheduled changes come on a grid of fifteen days.
      const scheduled = lives.filter(({ end }) => end === "good").map(({ age }) => age / 24);
      expect(scheduled.every((days) => Math.abs(days - Math.round(days)) < 1e-6)).toBe(true);
      expect(
        lives.every(
          ({ age, from, until: end }) => end === null || Math.abs(age - (end.getTime() - from!.getTime()) / 3_600_000) < 1e-6,
        ),
      ).toBe(true);
    } finally {
      connection.closeSync();
    }
  }, 120_000);

  it("is answered for a machine as for any other", async () => {
    const { lives, machines } = await bench.run("life", { machine: "m1", asOf: until });
    expect(lives).toHaveLength(4);
    const failures = rowsOf("pdm-azure/PdM_failures.csv").filter(({ machineID }) => machineID === "1").length;
    expect(lives.reduce((sum: number, row: { failures: number }) => sum + row.failures, 0)).toBe(machines[0].repairs);
    expect(Math.abs(machines[0].repairs - failures)).toBeLessThanOrEqual(1);
    for (const row of lives) expect(row).toMatchObject({ unit: "hours", inUse: 1, leftOut: 1 });
  }, 60_000);
});
