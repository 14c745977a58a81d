// One evening, one lock-out: tasks of a machine that may be done together, on a day that all their windows bear.
import type { DuckDBConnection } from "@duckdb/node-api";
import { isoFromDate } from "../../shared/relation.ts";
import { dayAfter } from "../../shared/times.ts";
import { type FutureUse, futureUse } from "../forecast/future.ts";
import { type DueTask, dueTasks, type LimitDraws } from "../service/due.ts";

export interface Evening {
  machine: string;
  machineName: string;
  day: string;
  tasks: { part: string; task: string; partName: string; taskName: string }[];
  /** Lock-outs fewer than one for each task, and the members' hours that this saves. */
  isolationsSaved: number;
  memberHoursSaved: number;
  /** Run-hours to expect on that day: what the work displaces at most. */
  displacedHours: number;
  /** Tasks whose part is not there by then. */
  waiting: string[];
}

// Isolating, proving dead and bringing back: about twenty minutes of two people, common practice and not the maker's word.
const ISOLATION_MEMBER_HOURS = 2 / 3;
const REACH_DAYS = 60;

export interface EveningsAsked {
  asOf: Date;
  zone: string;
  seed: number;
  limitDraws?: LimitDraws | undefined;
  /** Pieces on the shelf; null where nobody said. */
  inStock(machine: string, part: string): number | null;
  /** Whether a task takes a new piece. */
  takesPiece(task: Pick<DueTask, "machine" | "part" | "task">): boolean;
}

export async function eveningsAnswer(
  connection: DuckDBConnection,
  { asOf, zone, seed, limitDraws, inStock, takesPiece }: EveningsAsked,
): Promise<{ asOf: string; evenings: Evening[] }> {
  const { tasks } = await dueTasks(connection, { asOf, zone, seed, limitDraws });
  const future = await futureUse(connection, { asOf, zone, seed });
  const useOn = expectedUse(future);
  const isReady = (task: DueTask, day: string): boolean => {
    if (!takesPiece(task)) return true;
    const pieces = inStock(task.machine, task.part);
    return pieces === null || pieces > 0 || day >= dayAfter(future.today, Math.ceil(task.leadDays ?? 0));
  };
  return { asOf: isoFromDate(asOf), evenings: eveningsOf(tasks, { today: future.today, useOn, isReady }) };
}

/** Mean run-hours of a machine on a day ahead, over all worlds. */
function expectedUse(future: FutureUse): (machine: string, ahead: number) => number {
  const sums = new Map<string, number>();
  const until = (machine: string, ahead: number): number => {
    if (ahead < 0) return 0;
    const key = `${ahead} ${machine}`;
    const known = sums.get(key);
    if (known !== undefined) return known;
    const use = future.useWithin(machine, "hours", ahead);
    const mean = use === null ? 0 : use.reduce((sum, one) => sum + one, 0) / use.length;
    sums.set(key, mean);
    return mean;
  };
  return (machine, ahead) => Math.max(0, until(machine, ahead) - until(machine, ahead - 1));
}

interface Weighing {
  today: string;
  useOn(machine: string, ahead: number): number;
  isReady(task: DueTask, day: string): boolean;
}

const daysFrom = (today: string, day: string): number =>
  Math.round((Date.parse(`${day}T00:00:00Z`) - Date.parse(`${today}T00:00:00Z`)) / 86_400_000);

/**
 * At most one evening a machine: the day of the next two months, not later than the most urgent task can wait, on which most of its
 * tasks may be done: not before a window's early end, for that gives away use, and not after its late one. Of equal days the one
 * that displaces the least use, then the first. Machines with fewer than two such tasks are left out; most saved first.
 */
export function eveningsOf(tasks: readonly DueTask[], { today, useOn, isReady }: Weighing): Evening[] {
  const machines = [...new Set(tasks.map(({ machine }) => machine))];
  return machines
    .flatMap((machine): Evening[] => {
      const own = tasks.filter((task) => task.machine === machine && task.state !== "unknown" && task.due.early !== null);
      if (own.length < 2) return [];
      const spans = own.map((task) => {
        const early = Math.max(0, daysFrom(today, task.due.early!));
        const isDue = task.state === "overdue" || task.state === "now";
        const late = task.due.late === null ? REACH_DAYS : Math.max(isDue ? 14 : 0, daysFrom(today, task.due.late));
        return { task, early, late };
      });
      const last = Math.min(REACH_DAYS, ...spans.map(({ late }) => late));
      let best: { ahead: number; joined: DueTask[]; waiting: DueTask[]; use: number } | null = null;
      for (let ahead = 0; ahead <= last; ahead++) {
        const day = dayAfter(today, ahead);
        const open = spans.filter(({ early, late }) => early <= ahead && ahead <= late).map(({ task }) => task);
        const joined = open.filter((task) => isReady(task, day));
        if (joined.length < 2) continue;
        const use = useOn(machine, ahead);
        if (
          best === null ||
          joined.length > best.joined.length ||
          (joined.length === best.joined.length && use < best.use - 1e-9)
        )
          best = { ahead, joined, waiting: open.filter((task) => !joined.includes(task)), use };
      }
      if (best === null) return [];
      const saved = best.joined.length - 1;
      return [
        {
          machine,
          machineName: own[0]!.machineName,
          day: dayAfter(today, best.ahead),
          tasks: best.joined.map(({ part, task, partName, taskName }) => ({ part, task, partName, taskName })),
          isolationsSaved: saved,
          memberHoursSaved: saved * ISOLATION_MEMBER_HOURS,
          displacedHours: best.use,
          waiting: best.waiting.map(({ partName }) => partName),
        },
      ];
    })
    .sort((a, b) => b.isolationsSaved - a.isolationsSaved || a.day.localeCompare(b.day));
}
