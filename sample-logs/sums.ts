// Sums over the truth: run-hours and enabled hours by machine and local month, split where the local month turns.
import type { Calendar } from "./calendar.ts";
import type { Machine } from "./place.ts";
import type { TrueSession } from "./use.ts";

const longestMonth = 31 * 86_400 + 3600;

interface Piece {
  start: number;
  end: number;
}

/** Rows `machine id, month, run-hours, enabled hours`; the driven machine runs for the union of its drivers' stretches plus run-on. */
export function runHoursByMonth(
  calendar: Calendar,
  sessions: TrueSession[],
  outside: (Piece & { id: string })[],
  machines: Machine[],
  driven: { id: string; runOnSeconds: number },
): [string, string, number, number][] {
  const starts = monthStarts(calendar);
  const run = new Map<string, number>();
  const enabled = new Map<string, number>();
  const add = (sums: Map<string, number>, id: string, { start, end }: Piece, seconds: number) => {
    if (end <= start) return;
    // No month is longer than 31 days and an hour: counting in those never overshoots.
    const first = Math.max(0, Math.floor((start - calendar.from) / longestMonth));
    for (let index = first; index < starts.length && starts[index]!.time < end; index += 1) {
      const from = Math.max(start, starts[index]!.time);
      const until = Math.min(end, starts[index + 1]?.time ?? calendar.until);
      if (until <= from) continue;
      const key = `${id} ${starts[index]!.month}`;
      sums.set(key, (sums.get(key) ?? 0) + (seconds * (until - from)) / (end - start));
    }
  };

  const drivers: Piece[] = [];
  for (const session of sessions) {
    const machine = machines[session.machine]!;
    add(enabled, machine.id, session, session.end - session.start);
    if (session.bursts.length > 0) {
      for (let index = 0; index < session.bursts.length; index += 2) {
        const burst = { start: session.bursts[index]!, end: session.bursts[index + 1]! };
        add(run, machine.id, burst, burst.end - burst.start);
      }
    } else add(run, machine.id, { start: session.start, end: session.usualEnd }, session.motorSeconds);
    if (machine.dustLoad !== undefined) drivers.push({ start: session.start, end: session.end });
  }
  for (const piece of outside) add(run, piece.id, piece, piece.end - piece.start);
  for (const piece of unionOf(drivers, driven.runOnSeconds)) {
    add(run, driven.id, piece, piece.end - piece.start);
    add(enabled, driven.id, piece, piece.end - piece.start);
  }
  const keys = [...new Set([...enabled.keys(), ...run.keys()])].sort();
  return keys.map((key) => {
    const [id, month] = key.split(" ") as [string, string];
    return [id, month, round((run.get(key) ?? 0) / 3600), round((enabled.get(key) ?? 0) / 3600)];
  });
}

const round = (hours: number) => Math.round(hours * 1e6) / 1e6;

function monthStarts(calendar: Calendar): { month: string; time: number }[] {
  const starts: { month: string; time: number }[] = [];
  for (const { date, from } of calendar.days) {
    const month = date.slice(0, 7);
    if (starts.at(-1)?.month !== month) starts.push({ month, time: from });
  }
  return starts;
}

/** Stretches joined where the next begins before the last one's run-on is over; each ends with the run-on. */
export function unionOf(pieces: Piece[], runOnSeconds: number): Piece[] {
  const joined: Piece[] = [];
  for (const { start, end } of [...pieces].sort((a, b) => a.start - b.start)) {
    const last = joined.at(-1);
    if (last !== undefined && start <= last.end) last.end = Math.max(last.end, end + runOnSeconds);
    else joined.push({ start, end: end + runOnSeconds });
  }
  return joined;
}
