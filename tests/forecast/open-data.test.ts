// A simulated fleet that runs round the clock (pdm-azure; its source note lies beside it): calendar hours are run-hours, so that a
// part's date follows from its last replacement alone. Not handed on with this project: read where a copy lies beside it
// (ALMANAC_DATASETS names another folder).
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { openBench } from "../service/shop.ts";

const folder = process.env.ALMANAC_DATASETS ?? new URL("../../../shared/datasets/", import.meta.url).pathname;
const isThere = existsSync(join(folder, "pdm-azure"));
if (!isThere) console.warn(`skipped: no open data in ${folder}`);
const rowsOf = (name: string): string[][] =>
  readFileSync(join(folder, "pdm-azure", name), "utf8")
    .trim()
    .split(/\r?\n/)
    .slice(1)
    .map((line) => line.split(","));

const DAYS = 60;
const fleet = 25;
const dayAfter = (day: string, days: number): string =>
  new Date(Date.parse(`${day}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10);

describe.skipIf(!isThere)("a fleet that never rests (pdm-azure)", () => {
  test("each of the parts in use is due 1,440 calendar hours after its last replacement", async () => {
    const parts = ["comp1", "comp2", "comp3", "comp4"]
      .map((id) => `{id: ${id}, class: bearing, tasks: [{id: replace, every: {hours: ${24 * DAYS}}}]}`)
      .join(", ");
    const machines = Array.from(
      { length: fleet },
      (_, i) => `  - {id: "m${i + 1}", name: M${i + 1}, always_on: true, parts: [${parts}]}`,
    );
    const workshop = `workshop: {name: Fleet, zone: UTC, currency: EUR}\nmachines:\n${machines.join("\n")}\n`;
    const errors = rowsOf("PdM_errors.csv").map(([time, machine]) => `${time}Z,m${machine},change,0`);
    // The fleet ran from its first replacement on, which the log of errors doesn't reach back to: one line for the beginning.
    const begun = rowsOf("PdM_maintenance.csv").reduce((first, [time]) => (time! < first ? time! : first), "9999");
    const log = `time,station,event,badge\n${begun}Z,m1,change,0\n${errors.join("\n")}\n`;
    const bench = await openBench(workshop, log);
    const done = rowsOf("PdM_maintenance.csv").filter(([, machine]) => Number(machine) <= fleet);
    const record = done.map(([time, machine, part]) => `${time!.slice(0, 16)},m${machine},${part},replace,unknown`);
    writeFileSync(join(bench.dir, "done.csv"), `time,machine,part,task,found\n${record.join("\n")}\n`);
    expect((await bench.run("service import", { file: "done.csv" })).stored).toBe(done.length);

    const asOf = "2015-07-01";
    const { tasks } = await bench.run("due", { asOf });
    expect(tasks).toHaveLength(4 * fleet);
    let overdue = 0;
    for (const { machine, part, used, interval, state, due } of tasks) {
      const last = done.filter(([time, m, comp]) => `m${m}` === machine && comp === part && time! < asOf).at(-1)![0]!;
      const hours = (Date.parse(`${asOf}T00:00:00Z`) - Date.parse(`${last}Z`)) / 3_600_000;
      expect(used.best).toBeCloseTo(hours, 6);
      expect(used.low).toBe(used.high);
      expect(interval).toBe(24 * DAYS);
      expect(state === "overdue").toBe(hours >= 24 * DAYS);
      if (state === "overdue") overdue += 1;
      // At six in the morning of the sixtieth day, to the day.
      const day = dayAfter(last.slice(0, 10), DAYS);
      expect(due).toEqual({ early: day, median: day, late: day });
    }
    expect(overdue).toBeGreaterThan(0);
    expect(overdue).toBeLessThan(2 * fleet);
    bench.close();
  });
});
