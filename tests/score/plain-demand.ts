// Demand over many plain worlds: `npm run score:demand`; options: --seeds 101-150 --out FILE, --state FILE
// (figures of the seeds so far, to go on from). Writes its section after every world, so that a run cut short has said what it saw.
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import type { Truth, WorldOptions } from "../../sample-logs/index.ts";
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
import { writePlainWorld } from "./plain-world.ts";
import { withSection } from "./sections.ts";
import { almanac, notYet } from "./tool.ts";

const { values } = parseArgs({
  options: { seeds: { type: "string", default: "101-150" }, out: { type: "string" }, state: { type: "string" } },
});
const [first, last] = values.seeds.split("-").map(Number) as [number, number | undefined];
const out = values.out ?? fileURLToPath(new URL("../score.md", import.meta.url));

interface State {
  seeds: number[];
  cells: DemandCell[];
  purchases: Purchase[];
}
const state: State =
  values.state !== undefined && existsSync(values.state)
    ? (JSON.parse(readFileSync(values.state, "utf8")) as State)
    : { seeds: [], cells: [], purchases: [] };
const { cells, purchases } = state;

for (let seed = first; seed <= (last ?? first); seed++) {
  if (state.seeds.includes(seed)) continue;
  const options: WorldOptions = { seed, years: 2, until: "2026-10-01", mess: false, findings: false };
  const dir = mkdtempSync(join(tmpdir(), "almanac-demand-"));
  try {
    const world = writePlainWorld(dir, options);
    const truth = world.truth as Truth;
    const home = { dir, workshop: world.workshop, store: join(dir, "store.duckdb") };
    const isRead = almanac(home, ["ingest", world.log]);
    const answer = almanac<DemandAnswer>(home, ["demand", "--add", "1"]);
    if (isRead === notYet || answer === notYet) throw new Error("the built tool has no such command: build it first");
    const gained = hoursGained(options, monthsOf(truth));
    cells.push(...demandCells(truth, answer, gained));
    purchases.push(purchaseScore(gained, answer));
    state.seeds.push(seed);
  } finally {
    rmSync(dir, { recursive: true, force: true });
  }
  const head = `Made by \`npm run score:demand\` over ${purchases.length} worlds (seeds ${Math.min(...state.seeds)} to ${Math.max(...state.seeds)}) whose log is only true enables and releases, nothing lost.`;
  writeFileSync(
    out,
    withSection(readFileSync(out, "utf8"), "Demand in plain worlds", `${head}\n\n${demandTables(cells, purchases)}`),
  );
  if (values.state !== undefined) writeFileSync(values.state, JSON.stringify(state));
  process.stderr.write(`seed ${seed}: told ${purchases.at(-1)!.told}, right ${purchases.at(-1)!.right}\n`);
}
