// What the board may see of a month and machine: all of it or nothing. Pure.
//
// Every figure the board gets is made from the cells shown here and from nothing else. So whatever it adds, subtracts or compares
// leads back to shown cells: no difference of two answers holds a hidden one. In a hidden cell nothing is told apart, be it none,
// one or four, and its hours are hidden too, since no hours mean no session.
import type { Range } from "../../../shared/errors.ts";

/** A count of fewer is held back (members, sessions, starts). */
export const fewestShown = 5;

export interface HeldRange {
  low: number | null;
  best: number | null;
  high: number | null;
}

/** One machine's figures of one whole local month. */
export interface MonthCell {
  machine: string;
  from: string;
  until: string;
  /** The month's first local day, where it is known. */
  day?: string | null;
  sessions: number | null;
  starts: number | null;
  members: number | null;
  enabledHours: HeldRange;
}

export interface BoardMachine {
  machine: string;
  /** Machines whose use is this one's use. */
  drivers: readonly string[];
}

/**
 * Run-hours are for those who keep the machines: how many a machine has per enabled hour is learned from all months, the hidden ones
 * too. A session that is still open is one of this month, which isn't whole.
 */
export type MonthRow = MonthCell & { openSessions: null; runHours: HeldRange; suppressed: boolean };

const nothing: HeldRange = { low: null, best: null, high: null };

/**
 * Whether a machine's month is shown: none of its counts is under five, and the same holds for every machine that drives it, since
 * the use of a driven machine tells that of its drivers.
 */
export function shownCells(
  cells: readonly MonthCell[],
  machines: readonly BoardMachine[],
): (machine: string, from: string) => boolean {
  const cellOf = new Map(cells.map((cell) => [keyOf(cell.machine, cell.from), cell]));
  const driversOf = new Map(machines.map(({ machine, drivers }) => [machine, drivers]));
  const isShown = (machine: string, from: string, above: readonly string[]): boolean => {
    const cell = cellOf.get(keyOf(machine, from));
    if (!cell) return false;
    const counts = [cell.sessions, cell.starts, cell.members];
    if (counts.some((count) => count !== null && count < fewestShown)) return false;
    return (driversOf.get(machine) ?? []).every(
      (driver) => !above.includes(driver) && isShown(driver, from, [...above, machine]),
    );
  };
  return (machine, from) => isShown(machine, from, []);
}

const keyOf = (machine: string, from: string): string => `${from} ${machine}`;

/** A row for every cell of a machine of the workshop, in the order given; a hidden one holds nothing. */
export function boardMonths(cells: readonly MonthCell[], machines: readonly BoardMachine[]): MonthRow[] {
  const isShown = shownCells(cells, machines);
  const known = new Set(machines.map(({ machine }) => machine));
  return cells
    .filter(({ machine }) => known.has(machine))
    .map(({ machine, from, until, day = null, sessions, starts, members, enabledHours }) =>
      isShown(machine, from)
        ? {
            machine,
            from,
            until,
            day,
            sessions,
            openSessions: null,
            starts,
            members,
            enabledHours,
            runHours: nothing,
            suppressed: false,
          }
        : {
            machine,
            from,
            until,
            day,
            sessions: null,
            openSessions: null,
            starts: null,
            members: null,
            enabledHours: nothing,
            runHours: nothing,
            suppressed: true,
          },
    );
}

export type TotalRow = MonthRow & { monthsShown: number; monthsHeldBack: number };

/**
 * One row a machine over the months that are shown, and only those. Members are held back: those of months can't be added, and the
 * true figure would tell of hidden months.
 */
export function boardTotals(rows: readonly MonthRow[]): TotalRow[] {
  const byMachine = new Map<string, MonthRow[]>();
  for (const row of rows) byMachine.set(row.machine, [...(byMachine.get(row.machine) ?? []), row]);
  return [...byMachine].map(([machine, months]) => {
    const shown = months.filter((row) => !row.suppressed);
    return {
      machine,
      from: months[0]!.from,
      until: months.at(-1)!.until,
      day: null,
      sessions: sumOrNull(shown.map((row) => row.sessions)),
      openSessions: null,
      starts: sumOrNull(shown.map((row) => row.starts)),
      members: null,
      enabledHours: sumOfRanges(shown.map((row) => row.enabledHours)),
      runHours: nothing,
      suppressed: true,
      monthsShown: shown.length,
      monthsHeldBack: months.length - shown.length,
    };
  });
}

const sumOrNull = (figures: readonly (number | null)[]): number | null =>
  figures.length === 0 || figures.includes(null) ? null : (figures as number[]).reduce((sum, figure) => sum + figure, 0);

const isWhole = (range: HeldRange): range is Range => range.low !== null && range.best !== null && range.high !== null;

/** The sum of months whose errors have nothing to do with each other: means add up, distances to the 10 and 90 % points as squares. */
function sumOfRanges(ranges: readonly HeldRange[]): HeldRange {
  if (ranges.length === 0 || !ranges.every(isWhole)) return nothing;
  const best = ranges.reduce((sum, range) => sum + range.best, 0);
  const below = Math.hypot(...ranges.map((range) => range.best - range.low));
  const above = Math.hypot(...ranges.map((range) => range.high - range.best));
  return { low: best - below, best, high: best + above };
}
