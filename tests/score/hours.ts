// Hours: how near the best figure is, how often the truth lies in the range, and whether single sessions keep their bounds.
import { rowsOf, type Truth } from "../../sample-logs/index.ts";
import { fixed, intervalScore, markdown, mean, percent } from "./measures.ts";
import { isRange, type Range, secondsFrom } from "./tool.ts";
import type { TrueSessionRow } from "./true-findings.ts";

export interface HoursAnswer {
  rows: { machine: string; from: string; enabledHours: Range; runHours: Range | null }[];
}
export interface SessionsAnswer {
  sessions: { machine: string; start: string; ended: string; hours: Range }[];
}

export interface Cell {
  kind: string;
  truth: number;
  low: number;
  best: number;
  high: number;
}

/** A machine's month is left out where its station spoke under another address, was spoken over, or was silent for days. */
export function hoursCells(truth: Truth, answer: HoursAnswer, localMonth: (time: number) => string): Cell[] {
  const told = new Map(
    rowsOf<{ machine: string; month: string; runHours: number; enabledHours: number }>(truth, "runHours").map((row) => [
      `${row.machine} ${row.month}`,
      row,
    ]),
  );
  const unfit = unfitMonths(truth, localMonth);
  const instrumented = new Set(["planer", "metal-lathe-2", "mill"]);
  const metered = new Set(["table-saw-1", "metal-lathe-1", "laser"]);
  const cells: Cell[] = [];
  for (const { machine, from, enabledHours, runHours } of answer.rows) {
    const key = `${machine} ${localMonth(secondsFrom(from))}`;
    const row = told.get(key);
    if (row === undefined || unfit.has(key)) continue;
    const driven = machine === "dust-collector";
    const meterOnly = machine === "compressor";
    if (!meterOnly && isRange(enabledHours))
      cells.push({ kind: driven ? "driven hours" : "enabled hours", truth: row.enabledHours, ...pick(enabledHours) });
    if (!isRange(runHours) || driven) continue;
    const kind = meterOnly
      ? "run-hours, meter only"
      : instrumented.has(machine)
        ? "run-hours, motor seen"
        : metered.has(machine)
          ? "run-hours, hour meter"
          : "run-hours, factor typed";
    cells.push({ kind, truth: row.runHours, ...pick(runHours) });
  }
  return cells;
}

const pick = ({ low, best, high }: Range) => ({ low, best, high });

function unfitMonths(truth: Truth, localMonth: (time: number) => string): Set<string> {
  const spans = [
    ...rowsOf<{ machine: number; from: number; until: number; address: number }>(truth, "slips").flatMap((slip) => {
      const sessions = rowsOf<TrueSessionRow>(truth, "sessions");
      const host = sessions.find(({ station, start }) => station === slip.address && start >= slip.from - 86_400 * 60);
      return [slip, ...(host === undefined ? [] : [{ ...slip, machine: host.machine }])];
    }),
    ...rowsOf<{ rule: string; machine: number; from: number; until: number }>(truth, "planted").filter(
      ({ rule }) => rule === "silent-station",
    ),
  ];
  const months = new Set<string>();
  for (const { machine, from, until } of spans) {
    for (let time = from; time < until + 86_400; time += 86_400)
      months.add(`${truth.machines[machine]} ${localMonth(Math.min(time, until))}`);
  }
  return months;
}

export interface BoundsScore {
  ended: string;
  sessions: number;
  broken: number;
  meanWidthHours: number | null;
}

/** Told with a start at which nobody truly began: a wrong clock believed, or a start made up. */
const noSuch = "(began at no true start)";

/** Each session of the answer that is a true one (same machine, same start to two seconds, no bounces) against its hard bounds. */
export function boundsScores(truth: Truth, answer: SessionsAnswer): BoundsScore[] {
  const known = new Map<string, TrueSessionRow>();
  const slips = rowsOf<{ from: number; until: number }>(truth, "slips");
  for (const session of rowsOf<TrueSessionRow>(truth, "sessions")) {
    if (session.starts === 1) known.set(`${truth.machines[session.machine]} ${session.start}`, session);
  }
  const bounced = rowsOf<TrueSessionRow>(truth, "sessions").filter(({ starts }) => starts > 1);
  const isBounced = (machine: string, at: number) =>
    bounced.some((session) => truth.machines[session.machine] === machine && at >= session.start - 2 && at <= session.end + 2);
  let strangers = 0;
  const sums = new Map<string, { sessions: number; broken: number; widths: number[] }>();
  for (const { machine, start, ended, hours } of answer.sessions) {
    const at = secondsFrom(start);
    const session = [0, -1, 1, -2, 2]
      .map((shift) => known.get(`${machine} ${Math.round(at) + shift}`))
      .find((found) => found !== undefined);
    const isSlipping = slips.some(({ from, until }) => at >= from - 86_400 && at < until + 86_400);
    if (session === undefined && !isSlipping && !isBounced(machine, at)) strangers += 1;
    if (session === undefined || isSlipping) continue;
    const sum = sums.get(ended) ?? { sessions: 0, broken: 0, widths: [] };
    sum.sessions += 1;
    const length = (session.end - session.start) / 3600;
    // Stamps are whole seconds.
    if (length < hours.low - 1 / 3600 || length > hours.high + 1 / 3600) sum.broken += 1;
    sum.widths.push(hours.high - hours.low);
    sums.set(ended, sum);
  }
  const scores = [...sums].map(([ended, { sessions, broken, widths }]) => ({
    ended,
    sessions,
    broken,
    meanWidthHours: mean(widths),
  }));
  return strangers === 0 ? scores : [...scores, { ended: noSuch, sessions: strangers, broken: 0, meanWidthHours: null }];
}

export function hoursTables(cells: readonly Cell[], bounds: readonly BoundsScore[]): string {
  const kinds = [...new Set(cells.map(({ kind }) => kind))].sort();
  const rows = kinds.map((kind) => {
    const own = cells.filter((cell) => cell.kind === kind);
    const total = own.reduce((sum, { truth }) => sum + truth, 0);
    const unsure = own.filter(({ low, high }) => high - low > 1e-6);
    const inside = unsure.filter(({ low, high, truth }) => truth >= low - 1e-6 && truth <= high + 1e-6);
    const sure = own.filter(({ low, high }) => high - low <= 1e-6);
    // A figure shown as certain is wrong from three seconds a month on.
    const wrong = sure.filter(({ best, truth }) => Math.abs(best - truth) > 3 / 3600);
    return [
      kind,
      own.length,
      percent(own.reduce((sum, { best, truth }) => sum + best - truth, 0) / total, 2),
      percent(own.reduce((sum, { best, truth }) => sum + Math.abs(best - truth), 0) / total, 2),
      unsure.length,
      percent(unsure.length === 0 ? null : inside.length / unsure.length),
      fixed(mean(unsure.map(({ low, high }) => high - low)), 3),
      fixed(mean(unsure.map(({ low, high, truth }) => intervalScore(low, high, truth))), 3),
      `${wrong.length} of ${sure.length}`,
    ];
  });
  const columns = [
    "figure",
    "machine-months",
    "bias",
    "error in best",
    "with a range",
    "truth inside",
    "mean width h",
    "interval score h",
    "certain but wrong",
  ];
  const ends = [...new Set(bounds.map(({ ended }) => ended))].sort();
  const boundRows = ends.map((ended) => {
    const own = bounds.filter((row) => row.ended === ended);
    const sessions = own.reduce((sum, row) => sum + row.sessions, 0);
    const width = own.reduce((sum, row) => sum + (row.meanWidthHours ?? 0) * row.sessions, 0) / sessions;
    const isTrue = ended !== noSuch;
    return [ended, sessions, isTrue ? own.reduce((sum, row) => sum + row.broken, 0) : null, isTrue ? fixed(width, 3) : null];
  });
  return `${markdown(columns, rows)}\n\n${markdown(["session ended", "sessions", "bounds broken", "mean width h"], boundRows)}`;
}
