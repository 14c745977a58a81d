// A small workshop with parts and tasks, its store, and commands run in this process.
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Answer, Surroundings } from "../../dashboard/commands/command.ts";
import { commandNamed } from "../../dashboard/commands/command.ts";
import { commands } from "../../dashboard/commands/index.ts";
import { quiet } from "../../dashboard/progress.ts";
import { jsonFromAnswer } from "../../dashboard/render.ts";
import { type Holder, runCommand } from "../../dashboard/run.ts";
import { openStore } from "../../shared/index.ts";

export const workshopText = `workshop: {name: Tern Lane Workshop, zone: Europe/Lisbon, currency: EUR}
machines:
  - id: planer
    name: Planer
    hazard: high
    stations: [{station: 21}]
    run_factor: {low: 0.5, best: 0.5, high: 0.5}
    run_factor_fixed: true
    parts:
      - id: knives
        class: planer-knives
        fitted: 2025-03-03
        stock: 2
        price: 60
        lead_days: 10
        tasks:
          - {id: replace, every: {hours: 40}, resets: [sharpen]}
          - {id: sharpen, every: {hours: 10}, at_most: 2}
          - {id: inspect, every: {days: 30}}
  - id: lathe
    name: Metal lathe
    stations: [{station: 22}]
    parts:
      - {id: contactor, class: contactor, tasks: [{id: replace, every: {starts: 1000}, who: a licensed electrician}]}
      - {id: belt, class: belt, fitted: 2025-03-03, tasks: [{id: tension, first_after: {hours: 4}, every: {hours: 150}}, {id: replace, every: {hours: 1200, days: 1825}, resets: [tension]}]}
  - id: dust-collector
    name: Dust collector
    driven_by: {planer: {load: 6}, lathe: {load: 1}}
    run_on_seconds: 30
    parts: [{id: filter, class: filter, tasks: [{id: clean, every: {load_hours: 100}, reading: {name: pressure drop, unit: kPa, limit: 1.25}}]}]
  - {id: compressor, name: Compressor, always_on: true, parts: [{id: tank, tasks: [{id: inspect, every: {days: 365}, who: a competent person, isolate: close the valve and let the pressure out}]}]}
`;

/** Two hours on each weekday of ten weeks, in turn on planer and lathe, in the house format. */
export function logText(days = 70): string {
  const lines = ["time,station,event,badge"];
  for (let day = 0; day < days; day++) {
    const at = (hour: number) => new Date(Date.UTC(2025, 2, 3 + day, hour)).toISOString();
    if (day % 7 > 4) continue;
    lines.push(`${at(9)},21,enable,7`, `${at(11)},21,release,7`, `${at(14)},22,enable,8`, `${at(16)},22,release,8`);
  }
  return `${lines.join("\n")}\n`;
}

export interface Bench {
  dir: string;
  holder: Holder;
  // biome-ignore lint/suspicious/noExplicitAny: answers are checked by the assertions that read them
  run(name: string, options?: Record<string, unknown>): Promise<any>;
  answer(name: string, options?: Record<string, unknown>): Promise<Answer>;
  close(): void;
}

export async function openBench(workshop = workshopText, log: string | null = logText()): Promise<Bench> {
  const dir = mkdtempSync(join(tmpdir(), "almanac-service-"));
  writeFileSync(join(dir, "workshop.yaml"), workshop);
  const store = await openStore(join(dir, "almanac.duckdb"));
  const holder = { store };
  const surroundings: Surroundings = {
    cwd: dir,
    stdin: async () => "",
    progress: quiet,
    signal: new AbortController().signal,
    who: "command line",
    commands,
    asOfDefault: "last-event",
  };
  const answer = (name: string, options: Record<string, unknown> = {}) =>
    runCommand(commandNamed(commands, name), options, surroundings, holder);
  if (log !== null) {
    writeFileSync(join(dir, "log.csv"), log);
    await answer("ingest", { files: ["log.csv"] });
  }
  return {
    dir,
    holder,
    answer,
    run: async (name, options) => JSON.parse(JSON.stringify(jsonFromAnswer(await answer(name, options)))),
    close() {
      store.close();
      rmSync(dir, { recursive: true, force: true });
    },
  };
}
