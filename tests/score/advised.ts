// Advice on how long to leave parts in, by the built tool, against the true lives: those of the worlds, and a fleet of its own
// with shapes on both sides of 1.
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { replacementAge, replacementCostRate, weibullMean } from "../../analytics/stats/index.ts";
import { parts } from "../../sample-logs/parts.ts";
import { rowsOf, type Truth } from "../../sample-logs/truth.ts";
import { drawLife, seeded } from "../stats/random.ts";

/** As much of the command's answer as is held against the truth. */
export interface LifeAnswer {
  lives: {
    machine: string;
    part: string;
    task: string;
    failures: number;
    interval: { hours: { best: number } | null; setHours: number | null; advice: string };
  }[];
}

/** One part of one seed: what acting on an answer costs over the least that is possible, as a share more. */
export interface Advised {
  seed: number;
  from: "worlds" | "fleet";
  machine: string;
  trueShape: number;
  advice: string;
  /** Of the age advised; null where none was. */
  dearer: number | null;
  dearerSet: number | null;
  dearerRunToFailure: number;
}

interface Way {
  shape: number;
  scale: number;
  /** Share of lives that end in a break; the others are found worn and cost what a planned change does. */
  breaks: number;
  costPlanned: number;
  costFailure: number;
}

/** Money per unit of replacing at an age, worn parts found at once; infinite age: never early. */
function costAt(age: number, { shape, scale, breaks, costPlanned, costFailure }: Way): number {
  const failure = costPlanned + breaks * (costFailure - costPlanned);
  if (!Number.isFinite(age)) return failure / weibullMean({ shape, scale });
  if (failure <= costPlanned) return failure / weibullMean({ shape, scale });
  return replacementCostRate(age, { shape, scale, costPlanned, costFailure: failure });
}

function leastCost(way: Way): number {
  const failure = way.costPlanned + way.breaks * (way.costFailure - way.costPlanned);
  const { age } = replacementAge({ shape: way.shape, scale: way.scale, costPlanned: way.costPlanned, costFailure: failure });
  return costAt(age ?? Number.POSITIVE_INFINITY, way);
}

function advisedOf(seed: number, from: Advised["from"], machine: string, way: Way, row: LifeAnswer["lives"][number]): Advised {
  const least = leastCost(way);
  const over = (age: number): number => costAt(age, way) / least - 1;
  const { advice, hours, setHours } = row.interval;
  return {
    seed,
    from,
    machine,
    trueShape: way.shape,
    advice,
    dearer: advice === "replace" && hours !== null ? over(hours.best) : null,
    dearerSet: setHours === null ? null : over(setHours),
    dearerRunToFailure: over(Number.POSITIVE_INFINITY),
  };
}

/** Every part of a world that has lives of its own: renewals only, since sharpening has no costs of its own. */
export function advisedInWorld(seed: number, truth: Truth, { lives }: LifeAnswer): Advised[] {
  const known = new Set(
    rowsOf<{ machine: string; part: string; task: string }>(truth, "lives")
      .filter(({ task }) => task === "replace")
      .map(({ machine, part }) => `${machine} ${part}`),
  );
  return lives.flatMap((row) => {
    const spec = parts.find(({ machine, part }) => machine === row.machine && part === row.part);
    if (spec === undefined || row.task !== "replace" || spec.worsens !== undefined || !known.has(`${row.machine} ${row.part}`))
      return [];
    const { shape, scale, breaks, costPlanned, costFailure } = spec;
    return [advisedOf(seed, "worlds", row.machine, { shape, scale, breaks, costPlanned, costFailure }, row)];
  });
}

/** Shapes and how many failures, about, of each part of the fleet. */
const fleet = [0.6, 0.8, 1, 1.5, 2, 2.5, 3, 4].flatMap((shape) => [4, 10].map((failures) => ({ shape, failures })));
const begins = Date.UTC(2024, 0, 1);
const hours = 17_520;
const costs = { costPlanned: 40, costFailure: 200 };

/** Writes workshop, log and records of a fleet that is always on: its hours are the clock's, and every part is left in till it fails. */
export function writeFleet(dir: string, seed: number): { workshop: string; log: string; service: string } {
  const random = seeded(seed * 7919);
  const iso = (hour: number): string => new Date(begins + Math.round(hour * 60) * 60_000).toISOString().slice(0, 16);
  const machines = fleet.map(
    (_, i) =>
      `  - {id: m${i}, always_on: true, parts: [{id: part, fitted: ${iso(0)}, tasks: [{id: replace, every: {hours: 1000}, cost_planned: ${costs.costPlanned}, cost_failure: ${costs.costFailure}}]}]}`,
  );
  const records = fleet.flatMap(({ shape, failures }, i) => {
    const scale = scaleOf(shape, failures);
    const rows: string[] = [];
    for (let at = drawLife(shape, scale, random); at < hours; at += drawLife(shape, scale, random))
      rows.push(`${iso(at)},m${i},part,replace,failed`);
    return rows;
  });
  const files = { workshop: join(dir, "workshop.yaml"), log: join(dir, "log.csv"), service: join(dir, "service.csv") };
  writeFileSync(files.workshop, `workshop: {name: Fleet, zone: UTC, currency: EUR}\nmachines:\n${machines.join("\n")}\n`);
  writeFileSync(files.log, `time,station,event,badge\n${iso(0)}:00Z,1,boot,\n${iso(hours)}:00Z,1,boot,\n`);
  writeFileSync(files.service, `time,machine,part,task,found\n${records.join("\n")}\n`);
  return files;
}

const scaleOf = (shape: number, failures: number): number => hours / failures / weibullMean({ shape, scale: 1 });

export function advisedInFleet(seed: number, { lives }: LifeAnswer): Advised[] {
  return fleet.map(({ shape, failures }, i) => {
    const row = lives.find(({ machine }) => machine === `m${i}`)!;
    return advisedOf(seed, "fleet", `m${i}`, { shape, scale: scaleOf(shape, failures), breaks: 1, ...costs }, row);
  });
}

const mean = (list: readonly number[]): number => list.reduce((sum, one) => sum + one, 0) / list.length;
const percent = (share: number): string => `${share >= 0 ? "+" : ""}${(100 * share).toFixed(1)} %`;

export function livesTables(all: readonly Advised[]): string {
  const seeds = [...new Set(all.map(({ seed }) => seed))];
  const flat = all.filter(({ trueShape }) => trueShape <= 1);
  const wrong = flat.filter(({ dearer }) => dearer !== null);
  const clean = seeds.filter((seed) => !wrong.some((one) => one.seed === seed)).length;
  const lines = [
    `Early replacement where the true shape is 1 or less: ${wrong.length} of ${flat.length} parts; none in ${clean} of ${seeds.length} seeds.`,
    "",
    "| parts | advised an age | of | dearer than the best | worst | the set age | left in to its end |",
    "| --- | --- | --- | --- | --- | --- | --- |",
  ];
  for (const from of ["worlds", "fleet"] as const) {
    const own = all.filter((one) => one.from === from && one.trueShape > 1);
    const advised = own.filter((one): one is Advised & { dearer: number } => one.dearer !== null);
    const set = advised.flatMap(({ dearerSet }) => (dearerSet === null ? [] : [dearerSet]));
    if (own.length === 0) continue;
    const cells =
      advised.length === 0
        ? ["–", "–", "–", "–"]
        : [
            percent(mean(advised.map(({ dearer }) => dearer))),
            percent(Math.max(...advised.map(({ dearer }) => dearer))),
            set.length === 0 ? "–" : percent(mean(set)),
            percent(mean(advised.map(({ dearerRunToFailure }) => dearerRunToFailure))),
          ];
    lines.push(`| ${from} | ${advised.length} | ${own.length} | ${cells.join(" | ")} |`);
  }
  return lines.join("\n");
}
