// Training and reach as commands answer them: counts, never a badge or a name; for the board by whole month, none under five.
import { reachOf, refusalsByMonth, refusalTrend, trainedMembers } from "../../analytics/index.ts";
import { fewestShown } from "../access/board/cells.ts";
import { boardTable } from "../access/board/months.ts";
import type { Answer, Desk, Row } from "../commands/command.ts";
import { spanOfLog } from "../upkeep.ts";

/** Permissions that end within so many days are running out. */
const soonDays = 60;

export async function trainingOf({ connection, span }: Desk): Promise<Answer> {
  const [refusals, trained] = [await refusalsByMonth(connection, span), await trainedMembers(connection, span, soonDays)];
  const months = [...new Set(refusals.map(({ month }) => month))].sort();
  const rows = trained.map((row) => {
    const own = refusals.filter(({ machine }) => machine === row.machine);
    const byMonth = months.map((month) => own.find((one) => one.month === month) ?? { month, refusals: 0, members: 0 });
    return {
      ...row,
      refusals: own.reduce((sum, one) => sum + one.refusals, 0),
      trend: refusalTrend(byMonth.map((one) => one.refusals)),
      byMonth: byMonth.map((one) => ({ month: one.month, refusals: one.refusals, members: one.members })),
    };
  });
  const notes = [
    "A refusal may be a wrong machine, a badge that ran out, or somebody who would like to learn it; the log can't tell which.",
    "Never seen: permitted today and never badged in there, as far as the log goes back.",
  ];
  return { head: { soonDays, notes }, list: { name: "machines", rows: rows as unknown as Row[] } };
}

/** By whole month, and only months in which a machine's use is shown and neither refusals nor the refused are under five. */
export async function trainingForBoard(desk: Desk): Promise<Answer> {
  const table = await boardTable(desk);
  const { span } = desk;
  const [first, last] = [table.months[0], table.months.at(-1)];
  const refusals = first && last ? await refusalsByMonth(desk.connection, { ...span, since: first.from, until: last.until }) : [];
  const fromOf = new Map(table.cells.map(({ day, from }) => [day, new Date(from)]));
  const rows = table.machines
    .filter(({ kind }) => kind === "stations")
    .map(({ machine, name }) => {
      const own = refusals.filter((row) => {
        const from = fromOf.get(row.month);
        const isMany = row.refusals >= fewestShown && row.members >= fewestShown;
        return row.machine === machine && from !== undefined && isMany && table.isShown(machine, from);
      });
      return {
        machine,
        name,
        refusals: own.length > 0 ? own.reduce((sum, row) => sum + row.refusals, 0) : null,
        suppressed: true,
        monthsShown: own.length,
        monthsHeldBack: table.months.length - own.length,
      };
    });
  return {
    head: { notes: ["Only months with at least five refusals of at least five people."] },
    list: { name: "machines", rows },
  };
}

/** As far as the log goes: days after its end are nobody's absence. */
export async function reachFor({ connection, span }: Desk): Promise<Answer> {
  const { lastEvent } = await spanOfLog(connection);
  const rows = lastEvent === null ? [] : await reachOf(connection, span);
  return { head: {}, list: { name: "machines", rows: rows as unknown as Row[] } };
}

/** Over the months that are shown; a busiest tenth of fewer than five people is held back. */
export async function reachForBoard(desk: Desk): Promise<Answer> {
  const table = await boardTable(desk);
  const shown = table.months.flatMap((month) =>
    table.machines
      .filter(({ machine, kind }) => kind === "stations" && table.isShown(machine, month.from))
      .map(({ machine }) => ({ machine, from: month.from, until: month.until })),
  );
  const reach = await reachOf(desk.connection, { asOf: desk.span.asOf, zone: desk.span.zone }, shown);
  const rows = table.machines
    .filter(({ kind }) => kind === "stations")
    .map(({ machine }) => {
      const row = reach.find((one) => one.machine === machine);
      const isTold = row !== undefined && row.busiest >= fewestShown;
      return { machine, members: null, busiestShare: isTold ? row.busiestShare : null, suppressed: true };
    });
  return { head: {}, list: { name: "machines", rows } };
}
