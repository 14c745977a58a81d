// How the board is answered where the others get more: by whole month, from cells that are shown, and nothing by day or badge.
import { occupancy } from "../../../analytics/index.ts";
import { ask, question } from "../../../shared/question.ts";
import type { Answer, Desk, Row } from "../../commands/command.ts";
import { boardMonths, boardTotals, fewestShown } from "./cells.ts";
import { type BoardTable, boardMachines, boardTable, type Month, wholeMonths } from "./months.ts";

const localClock = question(import.meta.url, "../../questions/calendar.sql");

const spanOf = (months: readonly Month[]) => ({
  from: months[0]?.from.toISOString() ?? null,
  until: months.at(-1)?.until.toISOString() ?? null,
});

/** As of when the board is answered: the end of the last whole month. */
const asOfMonths = (months: readonly Month[]) => months.at(-1)?.until.toISOString() ?? null;

const workings = (formula: string, queries: readonly string[], { months }: BoardTable) => ({
  formula: `${formula} A month is shown where no count of it is under ${fewestShown}.`,
  inputs: { months: months.length, fewestShown },
  queries: ["whole-months.sql", ...queries],
  notes: ["Whole months only, and nothing about fewer than five members."],
});

/** Hours by machine and whole month, or over the shown months of the span. */
export async function hoursForBoard(desk: Desk, by: "machine" | "month", machine?: string): Promise<Answer> {
  const table = await boardTable(desk);
  const rows = boardMonths(table.cells, table.machines).filter((row) => machine === undefined || row.machine === machine);
  const list = by === "month" ? rows : boardTotals(rows);
  return {
    head: {
      asOf: asOfMonths(table.months),
      workings: workings("Enabled hours are the lengths of sessions.", ["answer.sql"], table),
      notes: [],
    },
    list: { name: "rows", rows: list as unknown as Row[] },
  };
}

/** The machines of the workshop file; a station that only the log knows is no matter of the board's. */
export async function machinesForBoard(desk: Desk): Promise<Answer> {
  const machines = await boardMachines(desk);
  const rows = machines.map(({ drivers: _, ...row }) => ({ ...row, stations: [], claimed: true }));
  return { head: {}, list: { name: "machines", rows } };
}

/** The workshop's calendar, its log beginning and ending with the whole months the board is told of: not with the last badge. */
export async function calendarForBoard(desk: Desk): Promise<Answer> {
  const { connection, span, workshop } = desk;
  const months = await wholeMonths(desk);
  const first = months[0]?.from ?? null;
  const last = months.at(-1)?.until ?? null;
  const lastMoment = last && new Date(last.getTime() - 1_000);
  const [local] = await ask<Row>(connection, localClock, { now: span.asOf, first, last: lastMoment, zone: span.zone });
  const { name } = workshop.workshop.workshop;
  const isSetUp = !workshop.isBlank;
  const { badges: badgesAre, keep_badges_months: keepBadgesMonths = null } = workshop.workshop.privacy;
  return {
    head: {
      workshop: name,
      zone: span.zone,
      isSetUp,
      badgesAre,
      keepBadgesMonths,
      now: span.asOf,
      firstEvent: first,
      lastEvent: lastMoment,
      ...local,
    },
  };
}

interface Scope {
  openHours: number;
  fullHours: number;
  peak: number;
  peakPeople: number;
  monthsShown: number;
}

/**
 * Occupancy over those months in which every machine of the group (room, shop) is shown. Moments and the hours by units in use are
 * for those who keep the shop; a peak under five is held back.
 */
export async function occupancyForBoard(desk: Desk): Promise<Answer> {
  const table = await boardTable(desk);
  const groups = new Map<string, Scope>();
  const rooms = new Map<string, Scope>();
  const shop = new Map<string, Scope>();
  const stations = table.machines.filter(({ kind }) => kind === "stations");
  const idsOf = (key: "group" | "room") => [...new Set(stations.flatMap((machine) => machine[key] ?? []))];
  const everyMachine = [...new Set([...stations.map(({ machine }) => machine), ...table.cells.map(({ machine }) => machine)])];
  const shown = (machines: readonly string[], month: Month) => machines.every((machine) => table.isShown(machine, month.from));
  const within = (key: "group" | "room", id: string) =>
    stations.filter((machine) => machine[key] === id).map(({ machine }) => machine);
  for (const month of table.months) {
    if (!stations.some(({ machine }) => table.isShown(machine, month.from))) continue;
    const answer = await occupancy(desk.connection, {
      since: month.from,
      until: month.until,
      asOf: desk.span.asOf,
      zone: desk.span.zone,
    });
    for (const row of answer.groups) if (shown(within("group", row.group), month)) add(groups, row.group, row);
    for (const row of answer.rooms) if (shown(within("room", row.room), month)) add(rooms, row.room, row);
    if (shown(everyMachine, month)) add(shop, "shop", answer.shop);
  }
  const told = (scope: Scope | undefined, units: number) => ({ ...scopeForBoard(scope, table), units });
  return {
    head: {
      rooms: idsOf("room").map((room) => ({
        room,
        ...told(rooms.get(room), within("room", room).length),
        ...peopleOf(rooms.get(room)),
      })),
      shop: { ...told(shop.get("shop"), stations.length), ...peopleOf(shop.get("shop")) },
    },
    list: {
      name: "groups",
      rows: idsOf("group").map((group) => ({ group, ...told(groups.get(group), within("group", group).length) })),
    },
  };
}

function add(
  scopes: Map<string, Scope>,
  id: string,
  month: { openHours: number; fullShare: number; peak: number; peakPeople?: number },
): void {
  const before = scopes.get(id) ?? { openHours: 0, fullHours: 0, peak: 0, peakPeople: 0, monthsShown: 0 };
  scopes.set(id, {
    openHours: before.openHours + month.openHours,
    fullHours: before.fullHours + month.fullShare * month.openHours,
    peak: Math.max(before.peak, month.peak),
    peakPeople: Math.max(before.peakPeople, month.peakPeople ?? 0),
    monthsShown: before.monthsShown + 1,
  });
}

const scopeForBoard = (scope: Scope | undefined, { months }: BoardTable) => ({
  ...spanOf(months),
  peak: heldBack(scope?.peak),
  peakAt: null,
  hoursByInUse: [],
  openHours: scope?.openHours ?? null,
  fullShare: scope && scope.openHours > 0 ? scope.fullHours / scope.openHours : null,
  suppressed: heldBack(scope?.peak) === null,
  monthsShown: scope?.monthsShown ?? 0,
  monthsHeldBack: months.length - (scope?.monthsShown ?? 0),
});

const peopleOf = (scope: Scope | undefined) => ({ peakPeople: heldBack(scope?.peakPeople), peakPeopleAt: null });

const heldBack = (count: number | undefined): number | null => (count === undefined || count < fewestShown ? null : count);
