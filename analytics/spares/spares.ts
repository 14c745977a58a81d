// Spares: how many of each part will be needed, how many to have, and when to order: many joint worlds of use and of life.
import type { DuckDBConnection } from "@duckdb/node-api";
import { type Insufficient, insufficient, type Range } from "../../shared/errors.ts";
import { isoFromDate } from "../../shared/relation.ts";
import { dayAfter } from "../../shared/times.ts";
import { type FutureUse, futureUse } from "../forecast/future.ts";
import { generator, seedFrom } from "../forecast/worlds.ts";
import { type Decision, loadDecisions } from "../life/decisions.ts";
import { type Learned, learnedLives } from "../life/learned.ts";
import { countOf } from "../service/counts.ts";
import { livesEndedBy, posteriorLife } from "../stats/index.ts";
import { holdingOf, type Renewing, renewalDays } from "./renewals.ts";

export interface SpareRow {
  machine: string;
  part: string;
  machineName: string;
  partName: string;
  class: string | null;
  needed: Range | Insufficient;
  inStock: number | null;
  hold: number | Insufficient;
  probability: number | Insufficient;
  /** Null where what is in stock is enough for the time, or nobody said how many there are. */
  orderBy: string | null;
  leadDays: number | null;
  price: number | null;
  /** How many are short of `hold`; null where nobody said how many there are. */
  toBuy: number | null;
  /** What the figures rest on, in words. */
  notes: string[];
}

export interface SparesAsked {
  asOf: Date;
  zone: string;
  seed: number;
  days: number;
  serviceLevel: number;
  /** Pieces on the shelf; null where nobody said. */
  inStock(machine: string, part: string): number | null;
}

/** Every part that something renews, in the workshop file's order. */
export async function sparesAnswer(
  connection: DuckDBConnection,
  { asOf, zone, seed, days, serviceLevel, inStock }: SparesAsked,
): Promise<{ asOf: string; today: string; days: number; serviceLevel: number; parts: SpareRow[] }> {
  const learned = await learnedLives(connection, { asOf, zone });
  const future = await futureUse(connection, { asOf, zone, seed });
  const decisions = await loadDecisions(connection, asOf);
  const parts = learned.all
    .filter(({ task }) => task.renews)
    .map((one): SpareRow => {
      const { machine, part, machineName, partName, class: partClass, leadDays, price } = one.task;
      const stock = inStock(machine, part);
      const plan = planOf(one, decisions.of(one.task), asOf);
      const worlds = worldsOf(one, plan, future, { seed, reach: Math.min(future.reachDays, days + Math.ceil(leadDays ?? 0)) });
      const about = { machine, part, machineName, partName, class: partClass };
      const notes = [
        ...plan.notes,
        ...(stock === null ? ["nobody has said how many are on the shelf: count them"] : []),
        ...(leadDays === null ? ["no lead time in the workshop file: ordered and there the same day"] : []),
      ];
      if (worlds === null) {
        const few = insufficient(0, 1);
        notes.push("too little is known of how the machine is used");
        return {
          ...about,
          needed: few,
          inStock: stock,
          hold: few,
          probability: few,
          orderBy: null,
          leadDays,
          price,
          toBuy: null,
          notes,
        };
      }
      const held = holdingOf(worlds, { days, level: serviceLevel, inStock: stock, leadDays: leadDays ?? 0 });
      return {
        ...about,
        needed: held.needed,
        inStock: stock,
        hold: held.hold,
        probability: held.probability,
        orderBy: held.orderIn === null ? null : dayAfter(future.today, held.orderIn),
        leadDays,
        price,
        toBuy: stock === null ? null : Math.max(0, held.hold - stock),
        notes,
      };
    });
  return { asOf: isoFromDate(asOf), today: future.today, days, serviceLevel, parts };
}

interface Plan extends Omit<Renewing, "grid"> {
  notes: string[];
}

// A plan that was let slip by more than this, more often than not, is no plan.
const SLACK = 1.1;
const DAY = 86_400_000;

/** By what the part is changed while it is still good: what was decided, else the workshop file's interval where it is kept. */
function planOf({ task, siblings, records, lives, unit, setInterval }: Learned, decision: Decision | null, asOf: Date): Plan {
  const notes: string[] = [];
  const inUse = lives.find(({ end }) => end === "in-use") ?? null;
  const ended = lives.filter(({ end }) => end !== "in-use");
  const use = lives.reduce((sum, { age, entry }) => sum + age - (entry ?? 0), 0);
  const damaged = ended.filter(({ end }) => end === "damaged").length;
  const accidents = damaged > 0 && use > 0 ? damaged / use : 0;
  const isLeft = decision?.choice === "inspect" || decision?.choice === "run-to-failure";
  const chosen = decision?.interval ?? setInterval;
  const reached = chosen === null ? [] : ended.filter(({ age }) => age >= chosen / SLACK);
  const slipped = chosen === null ? [] : reached.filter(({ age }) => age > chosen * SLACK);
  const isKept = decision?.interval != null || slipped.length * 2 <= reached.length;
  if (isLeft) notes.push("it stays in until it is found at its end, as was decided");
  else if (!isKept)
    notes.push("the interval was let slip more often than not: parts are taken to stay in until found at their end");
  const planned = isLeft || !isKept ? null : chosen;
  const edges = edgesLeft(task, siblings, records, unit);
  if (edges !== null && !isLeft) notes.push(`its edges run out after about ${Math.round(edges.whole)} ${unit}`);
  const least = (...limits: (number | null)[]): number | null => {
    const known = limits.filter((limit) => limit !== null);
    return known.length === 0 ? null : Math.min(...known);
  };
  const days = unit === "days" ? null : (task.limits.find(({ basis }) => basis === "days")?.every ?? null);
  const count = countOf(task, siblings, records);
  const begun = count.until ?? inUse?.from ?? null;
  if (inUse === null) notes.push("nobody knows how old the piece is that is in now");
  if (accidents > 0) notes.push(`accidents as so far: ${damaged} in ${Math.round(use)} ${unit}`);
  return {
    age: inUse?.age ?? null,
    planned: isLeft ? null : least(planned, edges?.whole ?? null),
    plannedNow: isLeft || inUse === null ? null : least(planned, edges === null ? null : inUse.age + edges.left),
    plannedDays:
      days === null || isLeft
        ? null
        : { every: days, left: begun === null ? days / 2 : days - (asOf.getTime() - begun.getTime()) / DAY },
    accidents,
    notes,
  };
}

/** How much use a new part's edges are good for, and what is left of those of the piece that is in now. */
function edgesLeft(
  task: Learned["task"],
  siblings: Learned["siblings"],
  records: Learned["records"],
  unit: Learned["unit"],
): { whole: number; left: number } | null {
  const sharpening = siblings.find(
    (sibling) => task.resets.includes(sibling.task) && sibling.atMost !== null && !sibling.inspects,
  );
  const every = sharpening?.limits.find(({ basis }) => basis === unit)?.every ?? null;
  if (sharpening === undefined || every === null || sharpening.atMost === null) return null;
  const done = countOf(sharpening, siblings, records).timesDone;
  return { whole: (sharpening.atMost + 1) * every, left: Math.max(0, (sharpening.atMost - done + 0.5) * every) };
}

/** Days of renewal, world by world; null where nobody can tell how the machine will be used. */
function worldsOf(
  { task, unit, lives, prior }: Learned,
  plan: Plan,
  future: FutureUse,
  { seed, reach }: { seed: number; reach: number },
): number[][] | null {
  const { grid } = posteriorLife(livesEndedBy(lives, ["failed", "worn"]), prior);
  const name = `spares ${task.machine} ${task.part}`;
  const paths = pathsOf(task.machine, unit, future, reach);
  if (paths === null) return null;
  return Array.from({ length: future.worlds }, (_, world) => {
    const random = generator(seedFrom(`${name} ${world}`, seed));
    return renewalDays({ ...plan, grid }, paths(world), reach, random);
  });
}

const STEP_DAYS = 7;

/** In each world the day by whose end use has come to an amount, from the use at every week's end. */
function pathsOf(
  machine: string,
  unit: Learned["unit"],
  future: FutureUse,
  reach: number,
): ((world: number) => (use: number) => number) | null {
  if (unit === "days") return () => (use) => use;
  const days = Array.from({ length: Math.ceil(reach / STEP_DAYS) + 1 }, (_, step) => step * STEP_DAYS);
  const sums = days.map((day) => future.useWithin(machine, unit, day));
  if (sums.some((sum) => sum === null)) return null;
  return (world) => (use) => {
    if (use <= sums[0]![world]!) return 0;
    let [low, high] = [0, days.length - 1];
    if (sums[high]![world]! < use) return Number.POSITIVE_INFINITY;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (sums[middle]![world]! < use) low = middle;
      else high = middle;
    }
    const [a, b] = [sums[low]![world]!, sums[high]![world]!];
    return days[low]! + (b > a ? ((use - a) / (b - a)) * STEP_DAYS : 0);
  };
}
