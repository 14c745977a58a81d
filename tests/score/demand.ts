// Demand: turns wished for per open hour, turned away a month, and which purchase truly gives most for its price.
import { memberHoursOf, rowsOf, type Truth, type WorldOptions } from "../../sample-logs/index.ts";
import { groups, machines } from "../../sample-logs/place.ts";
import { fixed, intervalScore, markdown, mean, percent } from "./measures.ts";
import { isRange, type Range } from "./tool.ts";

export interface DemandAnswer {
  groups: {
    group: string;
    arrivalsPerOpenHour: Range;
    turnedAwayPerMonth: Range;
    hoursGainedPerMonth: Range;
    costPerHourGained: Range | null;
  }[];
  ranking: string[];
  ties: string[][];
}
export interface DemandCell {
  figure: string;
  group: string;
  truth: number;
  low: number;
  best: number;
  high: number;
}
export interface Purchase {
  right: string;
  second: string;
  isClear: boolean;
  told: string | null;
  isTold: boolean;
  /** Whether right and told stand in one tie of the answer. */
  isTied: boolean;
  /** Member-hours gained a month by the right purchase, and by the told one for the same money. */
  gainedRight: number;
  gainedTold: number;
}

const daysPerMonth = 365.25 / 12;

export function demandCells(truth: Truth, answer: DemandAnswer, gained: ReadonlyMap<string, number>): DemandCell[] {
  const wishes = rowsOf<{ group: number; outcome: string }>(truth, "wishes");
  const opening = rowsOf<{ from: number; until: number }>(truth, "opening");
  const openHours = opening.reduce((sum, { from, until }) => sum + until - from, 0) / 3600;
  const months = monthsOf(truth);
  const cells: DemandCell[] = [];
  truth.groups.forEach((group, index) => {
    const told = answer.groups.find((item) => item.group === group);
    if (told === undefined) return;
    const own = wishes.filter((wish) => wish.group === index);
    const away = own.filter(({ outcome }) => outcome.startsWith("left-")).length;
    const put = (figure: string, value: number, range: unknown) => {
      if (isRange(range)) cells.push({ figure, group, truth: value, low: range.low, best: range.best, high: range.high });
    };
    put("turns wished for per open hour", own.length / openHours, told.arrivalsPerOpenHour);
    put("turned away a month", away / months, told.turnedAwayPerMonth);
    put("member-hours gained a month by one more", gained.get(group)!, told.hoursGainedPerMonth);
  });
  return cells;
}

export function monthsOf({ about }: Truth): number {
  return (Date.parse(about.until) - Date.parse(about.from)) / 86_400_000 / daysPerMonth;
}

/** Member-hours gained a month by one more unit, by group: the same wishes met in the same world with one more. */
export function hoursGained(options: WorldOptions, months: number): Map<string, number> {
  const [before, ...after] = memberHoursOf(options, [null, ...groups.map(({ id }) => id)]);
  return new Map(groups.map(({ id }, index) => [id, (after[index]! - before!) / months]));
}

/** The group with the least cost per hour gained, price spread over 15 years; clear where the next costs a tenth more. */
export function purchaseScore(gained: ReadonlyMap<string, number>, answer: DemandAnswer): Purchase {
  const costs = [...gained]
    .filter(([, hours]) => hours > 0)
    .map(([group, hours]) => ({ group, cost: machines.find((machine) => machine.group === group)!.price / 15 / (hours * 12) }))
    .sort((a, b) => a.cost - b.cost);
  const [first, second] = costs;
  if (first === undefined || second === undefined)
    throw new Error("demand: expected at least two groups in which one more unit gains hours");
  const told = answer.ranking[0] ?? null;
  const priceOf = (group: string) => machines.find((machine) => machine.group === group)!.price;
  return {
    right: first.group,
    second: second.group,
    isClear: second.cost > first.cost * 1.1,
    told,
    isTold: told === first.group,
    isTied: answer.ties.some((tie) => tie.includes(first.group) && told !== null && tie.includes(told)),
    gainedRight: gained.get(first.group)!,
    gainedTold: told === null ? 0 : (gained.get(told)! * priceOf(first.group)) / priceOf(told),
  };
}

export function demandTables(cells: readonly DemandCell[], purchases: readonly Purchase[]): string {
  const figures = [...new Set(cells.map(({ figure }) => figure))];
  const rows = figures.map((figure) => {
    const own = cells.filter((cell) => cell.figure === figure);
    const total = own.reduce((sum, { truth }) => sum + truth, 0);
    const inside = own.filter(({ low, high, truth }) => truth >= low && truth <= high).length;
    return [
      figure,
      own.length,
      percent(own.reduce((sum, { best, truth }) => sum + best - truth, 0) / total, 1),
      percent(own.reduce((sum, { best, truth }) => sum + Math.abs(best - truth), 0) / total, 1),
      percent(inside / own.length),
      fixed(mean(own.map(({ low, high, truth }) => intervalScore(low, high, truth))), 3),
    ];
  });
  const clear = purchases.filter(({ isClear }) => isClear);
  const right = clear.filter(({ isTold }) => isTold).length;
  const table = markdown(["figure", "groups × worlds", "bias", "error in best", "truth inside", "interval score"], rows);
  const best = purchases.reduce((sum, { gainedRight }) => sum + gainedRight, 0);
  const lost = best - purchases.reduce((sum, { gainedTold }) => sum + gainedTold, 0);
  const missed = clear.filter(({ isTold }) => !isTold);
  return [
    table,
    `Error of turns wished for in the busiest third of the groups (by turns turned away): ${percent(busyError(cells), 1)}.`,
    `Most useful purchase named in ${right} of ${clear.length} worlds (${purchases.length - clear.length} too close to call); of the ${missed.length} missed, ${missed.filter(({ isTied }) => isTied).length} were told as a tie.`,
    `Member-hours lost by following the advice, for the same money: ${fixed(lost / purchases.length, 2)} a month of ${fixed(best / purchases.length, 2)} (${percent(best > 0 ? lost / best : 0, 1)}).`,
  ].join("\n\n");
}

/** Mean relative error of turns wished for in the groups that turn away most, the busiest third. */
function busyError(cells: readonly DemandCell[]): number {
  const away = new Map<string, number>();
  for (const { figure, group, truth } of cells)
    if (figure === "turned away a month") away.set(group, (away.get(group) ?? 0) + truth);
  const busy = [...away].sort((a, b) => b[1] - a[1]).slice(0, Math.ceil(away.size / 3));
  const names = new Set(busy.map(([group]) => group));
  const own = cells.filter(({ figure, group }) => figure === "turns wished for per open hour" && names.has(group));
  return mean(own.map(({ best, truth }) => Math.abs(best - truth) / truth)) ?? 0;
}
