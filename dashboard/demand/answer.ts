// Demand as a command answers it: the model kept, what is asked of it, and how the board is told.
import {
  answerDemand,
  type Change,
  type DemandAsked,
  type DemandGroup,
  type DemandModel,
  demandWorkings,
  type GroupModel,
  scheduleWith,
} from "../../analytics/index.ts";
import { UsageError } from "../../shared/errors.ts";
import { openingFromTyped, WEEKDAYS } from "../../shared/opening-hours.ts";
import { ask, question } from "../../shared/question.ts";
import { fewestShown } from "../access/board/cells.ts";
import { boardTable } from "../access/board/months.ts";
import type { Answer, Desk, Row } from "../commands/command.ts";
import { answerOnce, modelOf } from "./kept.ts";
import { purchasesFrom } from "./purchases.ts";

const daysQuestion = question(import.meta.url, "./days.sql");
const trainedQuestion = question(import.meta.url, "./trained.sql");

export interface Asked {
  group?: string | undefined;
  add: number;
  open?: string | undefined;
  out?: string | undefined;
  patience?: number | undefined;
  members?: number | undefined;
  trained?: number | undefined;
  repair?: number | undefined;
  budget?: number | undefined;
  quick?: boolean | undefined;
}

const nothing = { groups: [], ranking: [], ties: [], comparisons: [], budget: null };

export async function demandOf(desk: Desk, asked: Asked): Promise<Answer> {
  const purchases = purchasesFrom(desk.workshop.workshop);
  ensureKnown(purchases.keys(), asked.group);
  const opening = asked.open === undefined ? undefined : openingFromTyped(asked.open, "open");
  ensureMachine(desk, asked.out);
  const model = await modelOf(desk);
  if (model === null) return told(desk, null, asked, nothing);
  const schedule =
    opening === undefined
      ? undefined
      : await scheduleWith(desk.connection, model, desk.span.zone, {
          weekday: WEEKDAYS.indexOf(opening.weekday) + 1,
          fromMinute: opening.fromMinute,
          untilMinute: opening.untilMinute,
        });
  const members = asked.trained === undefined ? new Map<string, number>() : await membersTrained(desk);
  const key = JSON.stringify([asked, desk.seed, [...members]]);
  const answer = answerOnce(model, key, () =>
    answerDemand(model, { ...askedOf(desk, asked), purchases, schedule, change: changeOf(asked, members) }),
  );
  return told(desk, model, asked, answer);
}

const askedOf = (desk: Desk, { add, group, patience, budget, quick }: Asked): Omit<DemandAsked, "purchases"> => ({
  seed: desk.seed,
  add,
  group,
  patience,
  usualPatience: usualPatienceOf(desk),
  budget,
  flips: quick !== true,
  ...(quick === true ? { draws: 50, people: group === undefined ? 15_000 : 60_000 } : {}),
});

const usualPatienceOf = ({ workshop }: Desk): number => workshop.workshop.demand.patience_minutes;

function ensureKnown(groups: Iterable<string>, group: string | undefined): void {
  const known = [...groups];
  if (group !== undefined && !known.includes(group))
    throw new UsageError({ field: "group", value: group, expected: `a group of the workshop file: ${known.join(", ")}` });
}

function ensureMachine({ workshop }: Desk, machine: string | undefined): void {
  const ids = workshop.workshop.machines.filter(({ stations }) => stations !== undefined).map(({ id }) => id);
  if (machine !== undefined && !ids.includes(machine))
    throw new UsageError({ field: "out", value: machine, expected: `a machine with a station: ${ids.join(", ")}` });
}

async function membersTrained({ connection, span }: Desk): Promise<Map<string, number>> {
  const rows = await ask<{ group: string; members: number }>(connection, trainedQuestion, { as_of: span.asOf, zone: span.zone });
  return new Map(rows.map(({ group, members }) => [group, members]));
}

/** What would be different in a group, or null where nothing is. */
function changeOf(
  { open, out, members, trained, repair }: Asked,
  trainedNow: ReadonlyMap<string, number>,
): ((group: GroupModel) => Change | null) | undefined {
  if ([open, out, members, trained, repair].every((one) => one === undefined)) return undefined;
  return ({ group, units }) => {
    const unit = out === undefined ? -1 : units.findIndex(({ machine }) => machine === out);
    const isAbout = open !== undefined || members !== undefined || trained !== undefined || repair !== undefined || unit >= 0;
    if (!isAbout) return null;
    const now = trainedNow.get(group) ?? 0;
    return {
      wishes: (1 + (members ?? 0) / 100) * (trained === undefined || now === 0 ? 1 : 1 + trained / now),
      repair: 1 / (repair ?? 1),
      ...(unit >= 0 ? { out: unit } : {}),
    };
  };
}

async function told(
  desk: Desk,
  model: DemandModel | null,
  asked: Asked,
  answer: ReturnType<typeof answerDemand>,
): Promise<Answer> {
  const { groups, ...rest } = answer;
  const { open, out, members, trained, repair } = asked;
  const span = { from: model?.from ?? null, until: model?.until ?? null };
  const [days] = await ask<Row>(desk.connection, daysQuestion, { ...span, zone: desk.span.zone });
  return {
    head: {
      ...span,
      ...days,
      currency: desk.workshop.workshop.workshop.currency ?? null,
      patienceMinutes: asked.patience ?? usualPatienceOf(desk),
      patienceFrom: asked.patience === undefined ? "log" : "asked",
      change: { open, out, members, trained, repair },
      ...rest,
      workings: demandWorkings(model, { patience: asked.patience, usualPatience: usualPatienceOf(desk) }),
    },
    list: { name: "groups", rows: groups as unknown as Row[] },
  };
}

/**
 * How the board is told: from those whole months in which every machine of the group is shown to it and at least five turns began;
 * other months are as if the log knew nothing of them. No hours of the week, no counts of hand-overs.
 */
export async function demandForBoard(desk: Desk, asked: Pick<Asked, "add" | "group" | "patience" | "budget">): Promise<Answer> {
  const purchases = purchasesFrom(desk.workshop.workshop);
  ensureKnown(purchases.keys(), asked.group);
  const table = await boardTable(desk);
  const [first, last] = [table.months[0], table.months.at(-1)];
  if (!first || !last) return told(desk, null, asked, nothing);
  const fromOf = new Map(table.cells.map(({ day, from }) => [day, new Date(from)]));
  const whole: Desk = { ...desk, span: { ...desk.span, since: first.from, until: last.until, asOf: desk.span.asOf } };
  const model = await modelOf(whole, {
    name: "board",
    isUsed: (_, machines, month, turns) => {
      const from = fromOf.get(month);
      return turns >= fewestShown && from !== undefined && machines.every((machine) => table.isShown(machine, from));
    },
  });
  if (model === null) return told(desk, null, asked, nothing);
  const key = JSON.stringify([asked, desk.seed]);
  const answer = answerOnce(model, key, () => answerDemand(model, { ...askedOf(desk, asked), purchases }));
  return told(whole, model, asked, { ...answer, groups: answer.groups.map((group) => withoutCounts(group, model)) });
}

const withoutCounts = (group: DemandGroup, { groups, months }: DemandModel) => {
  const used = groups.find((one) => one.group === group.group)?.monthsUsed ?? 0;
  return {
    ...group,
    byHourOfWeek: [],
    queueEvidence: null,
    suppressed: true,
    monthsShown: used,
    monthsHeldBack: months.length - used,
  };
};
