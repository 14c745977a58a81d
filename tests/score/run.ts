// Runs the whole built tool over worlds with known truth and writes tests/score.md. `npm run score`; options: --seeds 101,102 --only hours,due --out FILE;
// --save FILE keeps what the worlds gave, --pool FILE,FILE makes the page from such files: one run shared out between processes.
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { loadTruth, type Truth, type WorldOptions, writeSampleWorkshop } from "../../sample-logs/index.ts";
import { makeWorld, type World } from "../../sample-logs/world.ts";
import { FINDING_RULES, loadWorkshop } from "../../shared/index.ts";
import { type Advised, advisedInFleet, advisedInWorld, type LifeAnswer, livesTables, writeFleet } from "./advised.ts";
import {
  type DemandAnswer,
  type DemandCell,
  demandCells,
  demandTables,
  hoursGained,
  monthsOf,
  type Purchase,
  purchaseScore,
} from "./demand.ts";
import { courseOf, type DailyHours, type DueAnswer, dueTable, dueWindows, type Window } from "./due.ts";
import { type FindingsAnswer, type Flag, findingScores, findingTables, type RuleScore } from "./findings.ts";
import {
  type BoundsScore,
  boundsScores,
  type Cell,
  type HoursAnswer,
  hoursCells,
  hoursTables,
  type SessionsAnswer,
} from "./hours.ts";
import { withKeptSections } from "./sections.ts";
import { almanac, type Home, isRange, notYet, secondsFrom } from "./tool.ts";
import { trueFindings } from "./true-findings.ts";

/** Kept apart from the seeds 1 to 99 that development uses. */
const scoreSeeds = [101, 102, 103, 104, 105, 106, 107, 108, 109, 110];
const sections = ["hours", "due", "lives", "demand", "findings"] as const;
type Section = (typeof sections)[number];

const { values } = parseArgs({
  options: {
    seeds: { type: "string" },
    only: { type: "string" },
    out: { type: "string" },
    keep: { type: "string" },
    save: { type: "string" },
    pool: { type: "string" },
  },
});
const pooled = values.pool?.split(",") ?? [];
const seeds = values.seeds === undefined ? scoreSeeds : values.seeds.split(",").map(Number);
const only = new Set(values.only === undefined ? sections : values.only.split(","));
const out = values.out ?? fileURLToPath(new URL("../score.md", import.meta.url));
const root = values.keep ?? mkdtempSync(join(tmpdir(), "almanac-score-"));

const cells: Cell[] = [];
const bounds: BoundsScore[] = [];
const windows: Window[] = [];
const advised: Advised[] = [];
const demand: DemandCell[] = [];
const purchases: Purchase[] = [];
const rules: RuleScore[][] = [];
const nulls: { name: string; weeks: number; flags: Flag[] }[] = [];
const missing = new Set<Section>();

const say = (text: string) => process.stderr.write(`${text}\n`);
const optionsOf = (seed: number, mess: boolean, findings: boolean): WorldOptions => ({
  seed,
  years: 2,
  until: "2026-10-01",
  mess,
  findings,
});

for (const file of pooled) {
  const found = JSON.parse(readFileSync(file, "utf8")) as ReturnType<typeof gathered>;
  cells.push(...found.cells);
  bounds.push(...found.bounds);
  windows.push(...found.windows);
  advised.push(...found.advised);
  demand.push(...found.demand);
  purchases.push(...found.purchases);
  rules.push(...found.rules);
  nulls.push(...found.nulls);
}
for (const seed of pooled.length > 0 ? [] : seeds) {
  const options = optionsOf(seed, true, true);
  const home = ingested(`world-${seed}`, options);
  if (home === notYet) {
    for (const section of sections) missing.add(section);
    break;
  }
  const truth = loadTruth(join(home.dir, "truth.json"));
  const world = makeWorld(options);
  if (only.has("hours")) scoreHours(home, truth, world);
  if (only.has("due")) scoreDue(seed, home, truth, world);
  if (only.has("lives")) scoreLives(seed, home, truth);
  if (only.has("demand")) scoreDemand(options, home, truth);
  if (only.has("findings")) scoreFindings(home, truth);
  if (values.keep === undefined) rmSync(home.dir, { recursive: true, force: true });
}
if (only.has("findings") && !missing.has("findings") && pooled.length === 0) {
  for (const seed of seeds.filter((seed) => seed <= 103)) {
    quietWorld("clean log", seed, false);
    quietWorld("ordinary mess", seed, true);
  }
}
if (values.save !== undefined) writeFileSync(values.save, JSON.stringify(gathered()));
// Sections that this run doesn't make stay as they are.
writeFileSync(out, existsSync(out) ? withKeptSections(report(), readFileSync(out, "utf8")) : report());
if (values.keep === undefined) rmSync(root, { recursive: true, force: true });
say(`written: ${out}`);

/** All that the worlds gave, for another run to pool. */
function gathered() {
  return { cells, bounds, windows, advised, demand, purchases, rules, nulls };
}

/** Writes a world and has the tool read it: log, service list. */
function ingested(name: string, options: WorldOptions): Home | typeof notYet {
  const started = performance.now();
  const dir = join(root, name);
  mkdirSync(dir, { recursive: true });
  const made = writeSampleWorkshop({ dir, ...options });
  const home: Home = { dir, workshop: made.workshop, store: join(dir, "store.duckdb") };
  const answer = almanac(home, ["ingest", ...made.logs]);
  if (answer === notYet) return notYet;
  almanac(home, ["service", "import", made.service]);
  say(`${name}: made and ingested in ${((performance.now() - started) / 1000).toFixed(1)} s`);
  return home;
}

function scoreHours(home: Home, truth: Truth, { calendar }: World): void {
  const hours = almanac<HoursAnswer>(home, ["hours", "--by", "month"]);
  const sessions = almanac<SessionsAnswer>(home, ["sessions"]);
  if (hours === notYet || sessions === notYet) {
    missing.add("hours");
    return;
  }
  cells.push(...hoursCells(truth, hours, (time) => calendar.date(time).slice(0, 7)));
  bounds.push(...boundsScores(truth, sessions));
}

function scoreDue(seed: number, home: Home, truth: Truth, world: World): void {
  const course = courseOf(world, truth);
  // Every fourth week from the seventeenth on, as long as half a year of the log lies ahead.
  for (let index = 119; index < course.dates.length - 182; index += 28) {
    const asOf = course.dates[index]!;
    const due = almanac<DueAnswer>(home, ["due", "--as-of", asOf]);
    const since = course.dates[index - 56]!;
    const hours = almanac<HoursAnswer>(home, ["hours", "--by", "day", "--since", since, "--as-of", asOf]);
    if (due === notYet || hours === notYet) {
      missing.add("due");
      return;
    }
    const told: DailyHours = new Map();
    for (const { machine, from, runHours } of hours.rows) {
      if (!isRange(runHours)) continue;
      const byDay = told.get(machine) ?? new Map<string, number>();
      byDay.set(world.calendar.date(secondsFrom(from)), runHours.best);
      told.set(machine, byDay);
    }
    windows.push(...dueWindows(seed, world, truth, course, asOf, due, told));
  }
}

function scoreLives(seed: number, home: Home, truth: Truth): void {
  const inWorld = almanac<LifeAnswer>(home, ["life"]);
  if (inWorld === notYet) {
    missing.add("lives");
    return;
  }
  advised.push(...advisedInWorld(seed, truth, inWorld));
  const dir = join(root, `fleet-${seed}`);
  mkdirSync(dir, { recursive: true });
  const { workshop, log, service } = writeFleet(dir, seed);
  const fleet: Home = { dir, workshop, store: join(dir, "store.duckdb") };
  almanac(fleet, ["ingest", log]);
  almanac(fleet, ["service", "import", service]);
  const inFleet = almanac<LifeAnswer>(fleet, ["life"]);
  if (inFleet !== notYet) advised.push(...advisedInFleet(seed, inFleet));
  if (values.keep === undefined) rmSync(dir, { recursive: true, force: true });
}

function scoreDemand(options: WorldOptions, home: Home, truth: Truth): void {
  const answer = almanac<DemandAnswer>(home, ["demand", "--add", "1"]);
  if (answer === notYet) {
    missing.add("demand");
    return;
  }
  const gained = hoursGained(options, monthsOf(truth));
  demand.push(...demandCells(truth, answer, gained));
  purchases.push(purchaseScore(gained, answer));
}

function scoreFindings(home: Home, truth: Truth): void {
  const answer = almanac<FindingsAnswer>(home, ["findings"]);
  if (answer === notYet) {
    missing.add("findings");
    return;
  }
  rules.push(findingScores(FINDING_RULES, truth, trueFindings(truth, loadWorkshop(home.workshop)), answer));
}

function quietWorld(name: string, seed: number, mess: boolean): void {
  const home = ingested(`null-${mess ? "mess" : "clean"}-${seed}`, optionsOf(seed, mess, false));
  if (home === notYet) return;
  const answer = almanac<FindingsAnswer>(home, ["findings"]);
  if (answer === notYet) return;
  // A clock that came back wrong is a true finding of the ordinary mess.
  const flags = answer.findings.filter(({ rule }) => rule !== "clock-jump" || !mess);
  nulls.push({ name: `${name}, seed ${seed}`, weeks: (2 * 365.25) / 7, flags });
  if (values.keep === undefined) rmSync(home.dir, { recursive: true, force: true });
}

function report(): string {
  const part = (section: Section, title: string, text: () => string) => {
    if (!only.has(section)) return "";
    return `## ${title}\n\n${missing.has(section) ? "not yet" : text()}\n\n`;
  };
  return [
    "# Score\n\n",
    `Made by \`npm run score\` over the seeds ${seeds.join(", ")}, which development doesn't use. What each figure means: \`tests/score-definitions.md\`.\n\n`,
    part("hours", "Hours", () => hoursTables(cells, bounds)),
    part("due", "Due dates", () => dueTable(windows)),
    part("lives", "Lives and advice", () => livesTables(advised)),
    part("demand", "Demand", () => demandTables(demand, purchases)),
    part("findings", "Findings", () => findingTables(rules, nulls)),
  ]
    .join("")
    .trimEnd()
    .concat("\n");
}
