// What is wished for, what a further unit would give, and which purchase gives most for its price.
import { type Insufficient, insufficient, type Range } from "../../shared/errors.ts";
import type { Workings } from "../hours/asked.ts";
import { randomFrom } from "./chance.ts";
import { type QueueEvidence, queueEvidence } from "./evidence.ts";
import { handOverMinutes, lastStartMinutes, pauseMinutes } from "./measure.ts";
import type { DemandModel, GroupModel } from "./model.ts";
import { emptyTurns, ladderOf, type TurnLengths, type TurnList } from "./queue.ts";
import { type Change, monthHours, type Pair, type SimulatedSchedule, simulate } from "./what-if.ts";
import { rangeOf, ratesByHour } from "./wishes.ts";

/** Minutes that members are taken to wait where the log says too little of it. */
export const patienceMinutes = 15;
/** Years that a machine lasts where the workshop file doesn't say. */
export const lifeYears = 15;
/** Turns of a group that its figures need. */
export const fewestTurns = 10;
/** As many people who met a taken group weigh as much as the stated patience. */
const patienceWeight = 40;
/** Two purchases can't be told apart where the first has a smaller chance than this of being the better one. */
export const toldApart = 0.9;

export interface Purchase {
  price: number | null;
  lifeYears: number;
  /** What the unit needs, and the machines of the shop that have it already. */
  needs: { need: string; value: boolean | number | string; presentAt: string[] }[];
}

export interface DemandAsked {
  seed: number;
  add: number;
  group?: string | undefined;
  /** Minutes; where not given, as the log tells, and where it tells little `usualPatience`. */
  patience?: number | undefined;
  /** Minutes that the workshop takes its members to wait; `patienceMinutes` where not given. */
  usualPatience?: number | undefined;
  purchases: ReadonlyMap<string, Purchase>;
  /** A change beside `add`, by group; with the schedule where it has other hours. */
  change?: ((group: GroupModel) => Change | null) | undefined;
  schedule?: SimulatedSchedule | undefined;
  budget?: number | undefined;
  /** How much to simulate: draws, and people in all draws of a group. */
  draws?: number;
  people?: number;
  /** Whether to look for the patience at which the order flips. */
  flips?: boolean;
}

type MaybeRange = Range | Insufficient;
interface Outcome {
  turnedAwayPerMonth: MaybeRange;
  waitHoursPerMonth: MaybeRange;
}

export interface DemandGroup extends Outcome {
  group: string;
  units: number;
  arrivalsPerOpenHour: MaybeRange;
  openHours: number;
  byHourOfWeek: { hourOfWeek: number; arrivals: Range; openHours: number }[];
  withMore: Outcome & { add: number };
  withChange: (Outcome & { foundNonePerMonth: MaybeRange; turnsPerMonth: MaybeRange; hoursGainedPerMonth: MaybeRange }) | null;
  hoursGainedPerMonth: MaybeRange;
  useHoursPerMonth: MaybeRange;
  costPerHourGained: MaybeRange | { low: number; best: number; high: null } | null;
  price: number | null;
  lifeYears: number;
  needs: Purchase["needs"];
  upkeepPerHour: number | null;
  /** Mean hours for which a turn takes a unit, pauses included. */
  turnHours: Range | null;
  /** Open hours by how many units were taken, simulated: as it is and with the further units; once, so that chance is in it. */
  ladders: { asIs: Rung[]; withMore: Rung[] } | null;
  queueEvidence: QueueEvidence | null;
}

export interface Rung {
  inUse: number;
  hours: number;
}

export interface Comparison {
  better: string;
  worse: string;
  /** That the first is truly the better buy. */
  chance: number;
  /** Minutes of patience at which the order of the two turns round; null where it doesn't between 0 and 60. */
  flipsAtPatience: number | null;
}

export interface DemandAnswer {
  groups: DemandGroup[];
  ranking: string[];
  ties: string[][];
  comparisons: Comparison[];
  budget: { amount: number; choices: { groups: string[]; price: number; hoursGainedPerMonth: Range }[] } | null;
}

interface Weighed {
  answer: DemandGroup;
  /** Hours gained a month, one for each draw. */
  gained: readonly number[];
  /** Price of a year. */
  yearly: number | null;
  model: GroupModel;
}

/** Answers from a model; pure. */
export function answerDemand(model: DemandModel, asked: DemandAsked): DemandAnswer {
  const weighed = model.groups
    .filter(({ group }) => asked.group === undefined || group === asked.group)
    .map((group) => weigh(model, group, asked));
  const ranked = weighed.filter(({ gained }) => gained.length > 0).sort(byWorth);
  const comparisons = ranked
    .slice(1)
    .map((worse, index) =>
      compare(model, ranked[index]!, worse, { ...asked, flips: asked.flips === true && index < flipsLookedFor }),
    );
  return {
    groups: weighed.map(({ answer }) => answer),
    ranking: ranked.map(({ answer }) => answer.group),
    ties: tiesOf(ranked),
    comparisons,
    budget: asked.budget === undefined ? null : { amount: asked.budget, choices: choicesWithin(ranked, asked.budget) },
  };
}

const mean = (values: readonly number[]): number => values.reduce((sum, one) => sum + one, 0) / Math.max(1, values.length);

/** Priced ones first, by cost per hour gained; then the others by hours gained. */
function byWorth(a: Weighed, b: Weighed): number {
  const [isPricedA, isPricedB] = [a.yearly !== null, b.yearly !== null];
  if (isPricedA !== isPricedB) return isPricedA ? -1 : 1;
  const [gainA, gainB] = [bestOf(a.answer.hoursGainedPerMonth), bestOf(b.answer.hoursGainedPerMonth)];
  if (a.yearly === null || b.yearly === null) return gainB - gainA;
  // Compared by hours gained per money, which is 0 where nothing is gained.
  return gainB / b.yearly - gainA / a.yearly;
}

const bestOf = (range: MaybeRange): number => ("best" in range ? range.best : 0);

function simulationOf(
  model: DemandModel,
  group: GroupModel,
  { seed, draws = 100, people = 300_000 }: DemandAsked,
  patience: number,
) {
  return {
    seed,
    stream: group.stream,
    manners: { patience: patience / 60, lastStart: model.schedule.locks ? lastStartMinutes / 60 : 0 },
    draws,
    people,
    spanHours: model.spanHours,
  };
}

function weigh(model: DemandModel, group: GroupModel, asked: DemandAsked): Weighed {
  const { wishes } = group;
  const purchase = asked.purchases.get(group.group) ?? { price: null, lifeYears, needs: [] };
  const yearly = purchase.price === null ? null : purchase.price / purchase.lifeYears;
  const head = { group: group.group, units: group.units.length };
  const tail = { openHours: wishes.openHours, price: purchase.price, lifeYears: purchase.lifeYears, needs: purchase.needs };
  if (wishes.known < fewestTurns || group.lengths.taken.length === 0) {
    const few = insufficient(wishes.known, fewestTurns);
    const none = { turnedAwayPerMonth: few, waitHoursPerMonth: few };
    return {
      answer: {
        ...head,
        arrivalsPerOpenHour: few,
        ...none,
        hoursGainedPerMonth: few,
        costPerHourGained: yearly === null ? null : few,
        useHoursPerMonth: few,
        ...tail,
        upkeepPerHour: null,
        withMore: { add: asked.add, ...none },
        withChange: null,
        byHourOfWeek: [],
        turnHours: null,
        ladders: null,
        queueEvidence: null,
      },
      gained: [],
      yearly,
      model: group,
    };
  }
  const simulation = simulationOf(model, group, asked, asked.patience ?? asked.usualPatience ?? patienceMinutes);
  const simulated = {
    units: group.units.map(({ away }) => away),
    lengths: group.lengths,
    draws: wishes.draws,
  };
  const lists = { before: emptyTurns(), after: emptyTurns(), openHours: 0 };
  const more = simulate(simulated, model.schedule, { add: asked.add }, simulation, lists);
  const rungs = (list: TurnList, units: number): Rung[] => {
    const hours = ladderOf(list, units, lists.openHours);
    const scale = lists.openHours > 0 ? wishes.openHours / lists.openHours : 0;
    return Array.from(hours, (one, inUse) => ({ inUse, hours: one * scale }));
  };
  const month = inMonths(model, group, more, asked.patience === undefined);
  const gained = month.gained;
  const hoursGained = rangeOf(mean(gained), gained);
  const change = asked.change?.(group) ?? null;
  const changed = change === null ? null : simulate(simulated, asked.schedule ?? model.schedule, change, simulation);
  const useHours = more.map(({ before }) => before.useHours);
  return {
    answer: {
      ...head,
      arrivalsPerOpenHour: rangeOf(
        wishes.wished / wishes.openHours,
        wishes.draws.map(({ wished }) => wished / wishes.openHours),
      ),
      turnedAwayPerMonth: rangeOf(mean(month.away), month.away),
      hoursGainedPerMonth: hoursGained,
      costPerHourGained: costFrom(yearly, hoursGained),
      waitHoursPerMonth: rangeOfAll(more, ({ before }) => before.waitHours),
      useHoursPerMonth: rangeOf(mean(useHours), useHours),
      ...tail,
      upkeepPerHour:
        group.upkeep.records > 0 && mean(useHours) > 0
          ? group.upkeep.cost / ((mean(useHours) * model.spanHours) / monthHours)
          : null,
      withMore: {
        add: asked.add,
        turnedAwayPerMonth: rangeOf(mean(month.awayAfter), month.awayAfter),
        waitHoursPerMonth: rangeOfAll(more, ({ after }) => after.waitHours),
      },
      withChange:
        changed === null
          ? null
          : {
              turnedAwayPerMonth: rangeOfAll(changed, ({ after }) => after.turnedAway * month.scale),
              waitHoursPerMonth: rangeOfAll(changed, ({ after }) => after.waitHours),
              foundNonePerMonth: rangeOfAll(changed, ({ after }) => after.foundNone),
              turnsPerMonth: rangeOfAll(changed, ({ after }) => after.turns),
              hoursGainedPerMonth: rangeOfAll(changed, ({ before, after }) => after.useHours - before.useHours),
            },
      byHourOfWeek: byHourOf(group, asked.seed),
      turnHours: turnHoursOf(group.lengths),
      ladders: {
        asIs: rungs(lists.before, group.units.length),
        withMore: rungs(lists.after, group.units.length + asked.add),
      },
      queueEvidence: queueEvidence(
        group,
        model.groups.filter((other) => other !== group),
      ),
    },
    gained,
    yearly,
    model: group,
  };
}

const byHourKept = new WeakMap<GroupModel, Map<number, DemandGroup["byHourOfWeek"]>>();

/** The same for every "what if", so worked out once. */
function byHourOf(group: GroupModel, seed: number): DemandGroup["byHourOfWeek"] {
  const kept = byHourKept.get(group) ?? new Map<number, DemandGroup["byHourOfWeek"]>();
  byHourKept.set(group, kept);
  const known = kept.get(seed);
  if (known) return known;
  const made = ratesByHour(group.cells, group.wishes, randomFrom(seed, 2_000 + group.stream)).map(
    ({ hour, openHours, arrivals }) => ({ hourOfWeek: hour, arrivals, openHours }),
  );
  kept.set(seed, made);
  return made;
}

const rangeOfAll = (pairs: readonly Pair[], figure: (pair: Pair) => number): Range => {
  const values = pairs.map(figure);
  return rangeOf(mean(values), values);
};

/** The mean with the 10 and 90 % points of where it may lie. */
function turnHoursOf({ taken }: TurnLengths): Range {
  const best = mean([...taken]);
  const variance = mean(Array.from(taken, (one) => (one - best) ** 2));
  const reach = 1.2816 * Math.sqrt(variance / taken.length);
  return { low: best - reach, best, high: best + reach };
}

/** Price of a year over the hours gained in one; no upper end where perhaps nothing is gained. */
function costFrom(yearly: number | null, gained: Range): DemandGroup["costPerHourGained"] {
  if (yearly === null || gained.best <= 0) return null;
  const cost = (hours: number): number => yearly / (hours * 12);
  const [low, best] = [cost(gained.high), cost(gained.best)];
  return gained.low > 0 ? { low, best, high: cost(gained.low) } : { low, best, high: null };
}

interface InMonths {
  away: number[];
  awayAfter: number[];
  gained: number[];
  /** What the simulated turned away are multiplied with to be those of the log. */
  scale: number;
}

/**
 * Turned away and hours gained a month, one for each draw. The log itself tells how many of those who met a taken group were served
 * after all: arrivals to expect while it was full, less the hand-overs beyond chance. The more it has seen, the more that counts
 * against the simulation at the stated patience; what a further unit changes comes from the simulation, in proportion.
 */
function inMonths(model: DemandModel, { wishes }: GroupModel, pairs: readonly Pair[], isSeen: boolean): InMonths {
  const before = mean(pairs.map((pair) => pair.before.turnedAway));
  const direct = pairs.map((pair) => pair.before.turnedAway);
  const gain = pairs.map((pair) => pair.after.useHours - pair.before.useHours);
  const after = pairs.map((pair) => pair.after.turnedAway);
  if (!isSeen || before <= 0) return { away: direct, awayAfter: after, gained: gain, scale: 1 };
  const months = model.spanHours / monthHours;
  const weight = wishes.whileFull / (wishes.whileFull + patienceWeight);
  const away = pairs.map((_, k) => {
    const { whileFull, handed } = wishes.draws[k]!;
    return weight * Math.max(0, (whileFull - handed) / months) + (1 - weight) * direct[k]!;
  });
  const perTurnedAway = mean(gain) / before;
  const leftOver = mean(after) / before;
  return {
    away,
    awayAfter: away.map((one) => one * leftOver),
    gained: away.map((one) => one * perTurnedAway),
    scale: mean(away) / before,
  };
}

/** The chance that one is the better buy than the other, their luck having nothing to do with each other. */
function chanceOf(a: Weighed, b: Weighed): number {
  const isPriced = a.yearly !== null && b.yearly !== null;
  if (!isPriced && (a.yearly !== null || b.yearly !== null)) return 1;
  const worth = ({ gained, yearly }: Weighed, k: number): number => gained[k]! / (isPriced ? yearly! : 1);
  const many = a.gained.length;
  let wins = 0;
  for (let i = 0; i < many; i++) {
    for (let j = 0; j < b.gained.length; j++) {
      const difference = worth(a, i) - worth(b, j);
      wins += difference > 0 ? 1 : difference === 0 ? 0.5 : 0;
    }
  }
  return wins / (many * b.gained.length);
}

function tiesOf(ranked: readonly Weighed[]): string[][] {
  const ties: string[][] = [];
  for (let from = 0; from < ranked.length; ) {
    let until = from + 1;
    while (until < ranked.length && chanceOf(ranked[from]!, ranked[until]!) < toldApart) until++;
    if (until - from > 1) ties.push(ranked.slice(from, until).map(({ answer }) => answer.group));
    from = until;
  }
  return ties;
}

/** Only among the first of the ranking does anybody ask at which patience the order flips. */
const flipsLookedFor = 4;
const patiences = [0, 5, 10, 20, 30, 45, 60] as const;

function compare(model: DemandModel, better: Weighed, worse: Weighed, asked: DemandAsked): Comparison {
  const chance = chanceOf(better, worse);
  const names = { better: better.answer.group, worse: worse.answer.group };
  if (asked.flips !== true || (better.yearly === null) !== (worse.yearly === null))
    return { ...names, chance, flipsAtPatience: null };
  const lead = (patience: number): number => worthAt(model, better, asked, patience) - worthAt(model, worse, asked, patience);
  const leads = patiences.map(lead);
  let flips: number | null = null;
  for (let i = 1; i < leads.length && flips === null; i++) {
    const [a, b] = [leads[i - 1]!, leads[i]!];
    if (a !== 0 && Math.sign(a) !== Math.sign(b))
      flips = patiences[i - 1]! + ((patiences[i]! - patiences[i - 1]!) * Math.abs(a)) / (Math.abs(a) + Math.abs(b));
  }
  return { ...names, chance, flipsAtPatience: flips };
}

const worthKept = new WeakMap<GroupModel, Map<string, number>>();

/** Hours gained per money (per month without a price) were members truly to wait so long, whatever the log says of it. */
function worthAt(model: DemandModel, { model: group, yearly }: Weighed, asked: DemandAsked, patience: number): number {
  const kept = worthKept.get(group) ?? new Map<string, number>();
  worthKept.set(group, kept);
  const key = `${patience} ${asked.add} ${asked.seed}`;
  let gain = kept.get(key);
  if (gain === undefined) {
    const simulation = { ...simulationOf(model, group, asked, patience), draws: 12, people: 40_000 };
    const simulated = { units: group.units.map(({ away }) => away), lengths: group.lengths, draws: group.wishes.draws };
    const pairs = simulate(simulated, model.schedule, { add: asked.add }, simulation);
    gain = mean(pairs.map(({ before, after }) => after.useHours - before.useHours));
    kept.set(key, gain);
  }
  return gain / (yearly ?? 1);
}

/** The three sets of further units that gain most hours within the budget, none of them part of another. */
function choicesWithin(ranked: readonly Weighed[], amount: number) {
  const options = ranked.filter(({ answer }) => answer.price !== null && answer.price > 0 && answer.price <= amount).slice(0, 16);
  const sets: { members: Weighed[]; price: number; gain: number }[] = [];
  const grow = (from: number, members: Weighed[], price: number, gain: number): void => {
    let isWhole = true;
    for (let i = 0; i < options.length; i++) {
      const option = options[i]!;
      if (members.includes(option) || price + option.answer.price! > amount) continue;
      isWhole = false;
      if (i >= from)
        grow(i + 1, [...members, option], price + option.answer.price!, gain + bestOf(option.answer.hoursGainedPerMonth));
    }
    if (isWhole && members.length > 0) sets.push({ members, price, gain });
  };
  grow(0, [], 0, 0);
  return sets
    .sort((a, b) => b.gain - a.gain)
    .slice(0, 3)
    .map(({ members, price }) => {
      const sums = members[0]!.gained.map((_, k) => members.reduce((sum, { gained }) => sum + gained[k]!, 0));
      return { groups: members.map(({ answer }) => answer.group), price, hoursGainedPerMonth: rangeOf(mean(sums), sums) };
    });
}

export function demandWorkings(
  model: DemandModel | null,
  { patience, usualPatience }: Pick<DemandAsked, "patience" | "usualPatience">,
): Workings {
  return {
    formula: `Wished for = turns that began while a unit was free + for the rest of the open hours the rate of such turns × those hours; a turn is one person's sessions with pauses under ${pauseMinutes} minutes. Neither the ${handOverMinutes} minutes after all units were taken nor the last ${lastStartMinutes} before locking up tell a rate. The rate is that of the hour of the week × that of the month; both borrow from their neighbours by a Gamma prior whose weight the counts choose. Turned away = expected while all was taken − hand-overs beyond chance, mixed with a simulation at the stated patience where the log has seen few. Hours gained: the same people with the same luck meet the group as it is and with one more.`,
    inputs: {
      groups: model?.groups.length ?? 0,
      months: model?.months.length ?? 0,
      patienceMinutes: patience ?? usualPatience ?? patienceMinutes,
      patience: patience === undefined ? "as the log tells" : "as asked",
    },
    queries: ["slices", "turns", "line", "starts", "cells", "weeks", "evidence"].map((name) => `analytics/demand/${name}.sql`),
    notes: [
      "Those who stopped coming, or never tried, are not in the log: nobody knows how many they are.",
      "Maintainers' test runs are no demand; time in which no unit was in order is not counted against it.",
      "A machine is taken from a person's first session to the last of that turn, pauses included; ends that nobody saw are at their best guess.",
    ],
  };
}
