// The points of a machine's wear line, from its hours by week, what was done, and the window of the task.
import type { HoursRow } from "../ask/answers.ts";
import type { WearPoint } from "../charts/chart.ts";
import { daysBetween, plusDays } from "../period/days.ts";
import type { DueTask, ServiceRow } from "./answers.ts";

/** The task whose line is shown: the first, most urgent one that goes by run-hours and of which it is known when it was last done. */
export const wornTask = (tasks: readonly DueTask[]): DueTask | null =>
  tasks.find(({ basis, used, interval }) => basis === "hours" && used?.best != null && interval !== null) ?? null;

const mostServices = 4;

/**
 * Use since the task was last done, week by week, over its last few services, up to today's figure; then the days on which the
 * interval may be used up. Empty where nothing was ever done or the log has no week of it.
 */
export function wearPoints(
  task: DueTask,
  weeks: readonly HoursRow[],
  services: readonly ServiceRow[],
  today: string,
): WearPoint[] {
  const hours = weeks
    .flatMap(({ day, runHours }) => (day === null ? [] : [{ day, used: runHours.best ?? 0 }]))
    .sort((a, b) => (a.day < b.day ? -1 : 1));
  const first = hours[0]?.day;
  if (first === undefined || task.interval === null) return [];
  const done = services
    .filter(
      ({ part, undone, correctedBy, ...row }) =>
        part === task.part && !undone && correctedBy === null && (row.task === task.task || row.task === "replace"),
    )
    .map(({ time, timeUntil }) => (timeUntil ?? time).slice(0, 10))
    .filter((day) => day >= first && day <= today)
    .sort()
    .slice(-mostServices);
  const since = done[0] ?? first;
  /** Run-hours from one day to another, weeks shared out evenly. */
  const between = (from: string, until: string): number =>
    hours.reduce((sum, { day, used }) => {
      const end = plusDays(day, 7) < plusDays(today, 1) ? plusDays(day, 7) : plusDays(today, 1);
      const length = Math.max(1, daysBetween(day, end));
      const [a, b] = [from > day ? from : day, until < end ? until : end];
      return a >= b ? sum : sum + (used * daysBetween(a, b)) / length;
    }, 0);
  const points: WearPoint[] = [];
  const stints = (done.length > 0 ? done : [since]).map((day, i, all) => ({
    from: day,
    until: all[i + 1] ?? today,
    isDone: done.length > 0,
  }));
  for (const [i, { from, until, isDone }] of stints.entries()) {
    const isLast = i === stints.length - 1;
    const whole = between(from, until);
    const best = task.used?.best ?? 0;
    // The last stretch ends at the figure that the answer gives, which knows the hour of the service.
    const scale = isLast && whole > 0 && isDone ? best / whole : 1;
    const start = isLast && !isDone ? Math.max(0, best - whole) : 0;
    points.push({ kind: isDone ? "done" : "use", day: from, used: start });
    for (const { day } of hours)
      if (day > from && day < until) points.push({ kind: "use", day, used: start + scale * between(from, day) });
    points.push({ kind: "use", day: until, used: isLast ? best : whole });
  }
  const dots = (task.dots ?? []).flatMap((day): WearPoint[] =>
    day === null || day < today ? [] : [{ kind: "dot", day, used: task.interval! }],
  );
  return [...points, ...dots];
}
