// The one table behind every answer to the board: machine by whole month, cells under five hidden.
import { hours } from "../../../analytics/index.ts";
import { ask, question } from "../../../shared/question.ts";
import type { Desk } from "../../commands/command.ts";
import { spanOfLog } from "../../upkeep.ts";
import { type BoardMachine, type MonthCell, shownCells } from "./cells.ts";

const wholeMonthsQuestion = question(import.meta.url, "./whole-months.sql");
const machinesQuestion = question(import.meta.url, "./machines.sql");

export interface Month {
  from: Date;
  until: Date;
}

export interface MachineOfBoard extends BoardMachine {
  name: string;
  group: string;
  room: string | null;
  hazard: string;
  kind: string;
  from: Date | null;
  until: Date | null;
}

export interface BoardTable {
  months: Month[];
  machines: MachineOfBoard[];
  /** Of every machine and month, also of stations that no machine claims; not for the board as it stands. */
  cells: MonthCell[];
  isShown(machine: string, from: Date): boolean;
}

type TableDesk = Pick<Desk, "connection" | "span">;

/** The months the board's answers are about. Empty until the log covers a whole one. */
export async function wholeMonths({ connection, span }: TableDesk): Promise<Month[]> {
  const { firstEvent, lastEvent } = await spanOfLog(connection);
  const rows = await ask<{ from_at: Date; until_at: Date }>(connection, wholeMonthsQuestion, {
    first: firstEvent,
    last: lastEvent,
    zone: span.zone,
  });
  return rows.map(({ from_at, until_at }) => ({ from: from_at, until: until_at }));
}

export async function boardMachines({ connection }: Pick<Desk, "connection">): Promise<MachineOfBoard[]> {
  type Stored = Omit<MachineOfBoard, "drivers" | "from" | "until"> & {
    drivers: string;
    from_at: Date | null;
    until_at: Date | null;
  };
  const rows = await ask<Stored>(connection, machinesQuestion);
  return rows.map(({ drivers, from_at, until_at, ...row }) => ({
    ...row,
    from: from_at,
    until: until_at,
    drivers: JSON.parse(drivers) as string[],
  }));
}

/** The whole months within the span that was asked about. */
const monthsWithin = (months: readonly Month[], { since, until }: Desk["span"]): Month[] =>
  months.filter((month) => (since === undefined || month.from >= since) && (until === undefined || month.until <= until));

/**
 * Made anew from all months for every answer, then cut to those within the span: what is shown of a month doesn't hang on what else
 * was asked about.
 */
export async function boardTable(desk: TableDesk): Promise<BoardTable> {
  const every = await wholeMonths(desk);
  const months = monthsWithin(every, desk.span);
  const machines = await boardMachines(desk);
  const [first, last] = [every[0], every.at(-1)];
  const cells =
    first && last
      ? (
          await hours(desk.connection, {
            by: "month",
            all: true,
            since: first.from,
            until: last.until,
            asOf: desk.span.asOf,
            zone: desk.span.zone,
          })
        ).rows
      : [];
  const isShown = shownCells(cells, machines);
  const labels = new Map(cells.map(({ from }) => [new Date(from).getTime(), from]));
  return {
    months,
    machines,
    cells: cells.filter(({ from }) => months.some((month) => month.from.getTime() === new Date(from).getTime())),
    isShown: (machine, from) => isShown(machine, labels.get(from.getTime()) ?? ""),
  };
}
