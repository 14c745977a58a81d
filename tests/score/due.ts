// Due dates: does the truth lie in the window, by how far ahead it is, and how much of the way from a plain mean to perfect knowledge is closed?
import { trueRate, weightSums } from "../../sample-logs/demand.ts";
import { rowsOf, type Truth } from "../../sample-logs/index.ts";
import { filter } from "../../sample-logs/parts.ts";
import { groups, machines } from "../../sample-logs/place.ts";
import type { World } from "../../sample-logs/world.ts";
import { clusteredShare, fixed, markdown, mean, percent } from "./measures.ts";
import type { Range } from "./tool.ts";
import type { TrueSessionRow } from "./true-findings.ts";

export interface DueAnswer {
  tasks: {
    machine: string;
    part: string;
    task: string;
    byHours: {
      used: Range;
      interval: number;
      due: { early: string | null; median: string | null; late: string | null } | null;
    } | null;
  }[];
}
/** Run-hours by local day before the as-of date, as the tool tells them. */
export type DailyHours = Map<string, Map<string, number>>;

export interface Window {
  seed: number;
  machine: string;
  weeks: number;
  isHit: boolean;
  missDays: number;
  missLast28: number | null;
  missWeekHours: number | null;
  missOracle: number | null;
}

export const horizons = [
  [1, 2],
  [3, 4],
  [5, 8],
  [9, 12],
] as const;

const day = 86_400;

/** True run-hours by machine and local day, and what a world's rates say is to be expected. */
export interface Course {
  dates: string[];
  run: Map<string, Float64Array>;
  expected: Map<string, Float64Array>;
}

export function courseOf(world: World, truth: Truth): Course {
  const { calendar } = world;
  const dates = calendar.days.map(({ date }) => date);
  const run = new Map(truth.machines.map((id) => [id, new Float64Array(dates.length)]));
  const indexAt = (time: number) => {
    let index = Math.min(dates.length - 1, Math.floor((time - calendar.from) / day));
    while (calendar.days[index]!.from > time) index -= 1;
    while (index + 1 < dates.length && calendar.days[index + 1]!.from <= time) index += 1;
    return index;
  };
  for (const { machine, start, motorSeconds } of rowsOf<TrueSessionRow>(truth, "sessions")) {
    run.get(truth.machines[machine]!)![indexAt(start)]! += motorSeconds / 3600;
  }
  const sums = weightSums(calendar);
  const wished = groups.map(() => new Float64Array(dates.length));
  for (const { from, until } of calendar.spells) {
    const index = indexAt(from);
    for (let time = from; time < until; time += 1800) {
      groups.forEach((group, place) => {
        wished[place]![index]! += (trueRate(calendar, group, sums[place]!, time) * Math.min(1800, until - time)) / 3600;
      });
    }
  }
  // The oracle knows the rates and each machine's mean share of its group's work, not what will happen.
  const expected = new Map(
    machines.map(({ id, group }) => {
      const wishes = wished[groups.findIndex((item) => item.id === group)]!;
      const total = wishes.reduce((sum, value) => sum + value, 0);
      const share = run.get(id)!.reduce((sum, value) => sum + value, 0) / total;
      return [id, wishes.map((value) => value * share)];
    }),
  );
  return { dates, run, expected };
}

/** Windows of one answer: every hour-bound task that isn't overdue, its date between one day and twelve weeks ahead. */
export function dueWindows(
  seed: number,
  world: World,
  truth: Truth,
  course: Course,
  asOf: string,
  answer: DueAnswer,
  told: DailyHours,
): Window[] {
  const now = course.dates.indexOf(asOf);
  const services = world.worn.services.filter(({ time }) => world.calendar.date(time) < asOf);
  const windows: Window[] = [];
  for (const { machine, part, task, byHours } of answer.tasks) {
    const run = course.run.get(machine);
    const due = byHours?.due;
    if (run === undefined || !byHours || !due || due.early === null || due.median === null || due.late === null) continue;
    const left = byHours.interval - byHours.used.best;
    const ahead = dayNumber(due.median) - dayNumber(asOf);
    if (left <= 0 || ahead < 1 || ahead > 84) continue;
    const used = trueUsed(world, truth, run, machine, part, task, services, course.dates, now);
    if (used === null || used >= byHours.interval) continue;
    const crossing = crossingDay(run, now, byHours.interval - used);
    if (crossing === null) continue;
    const real = dayNumber(course.dates[crossing]!);
    const byDay = told.get(machine) ?? new Map<string, number>();
    const past = (days: number) => course.dates.slice(Math.max(0, now - days), now).map((date) => byDay.get(date) ?? 0);
    const miss = (index: number | null) => (index === null ? null : Math.abs(index - crossing));
    windows.push({
      seed,
      machine,
      weeks: ahead / 7,
      isHit: due.early <= course.dates[crossing]! && course.dates[crossing]! <= due.late,
      missDays: Math.abs(dayNumber(due.median) - real),
      missLast28: miss(steadyCrossing(now, left, past(28))),
      missWeekHours: miss(weeklyCrossing(now, left, past(56), course.dates)),
      missOracle: miss(crossingDay(course.expected.get(machine)!, now, byHours.interval - used)),
    });
  }
  return windows;
}

const dayNumber = (date: string) => Date.parse(`${date}T00:00:00Z`) / 86_400_000;

/** The local day on which use from `now` on adds up to what is left; null beyond the log. */
export function crossingDay(perDay: ArrayLike<number>, now: number, left: number): number | null {
  let sum = 0;
  for (let index = now; index < perDay.length; index += 1) {
    sum += perDay[index]!;
    if (sum >= left) return index;
  }
  return null;
}

function steadyCrossing(now: number, left: number, past: readonly number[]): number | null {
  const rate = mean(past);
  return rate === null || rate <= 0 ? null : now + Math.floor(left / rate);
}

// The mean of each weekday over eight weeks: what a mean by hour of the week comes to, by days.
function weeklyCrossing(now: number, left: number, past: readonly number[], dates: readonly string[]): number | null {
  const byWeekday = Array.from({ length: 7 }, () => [] as number[]);
  past.forEach((hours, index) => {
    byWeekday[dayNumber(dates[now - past.length + index]!) % 7]!.push(hours);
  });
  const rates = byWeekday.map((list) => mean(list) ?? 0);
  if (rates.every((rate) => rate <= 0)) return null;
  let sum = 0;
  for (let ahead = 0; ahead < 1000; ahead += 1) {
    sum += rates[(dayNumber(dates[now]!) + ahead) % 7]!;
    if (sum >= left) return now + ahead;
  }
  return null;
}

/** True run-hours since the task, or one that begins its count anew, was last done; null where nobody can know. */
function trueUsed(
  world: World,
  truth: Truth,
  run: Float64Array,
  machine: string,
  part: string,
  task: string,
  services: World["worn"]["services"],
  dates: readonly string[],
  now: number,
): number | null {
  if (part === filter.part) return null;
  const last = services.findLast(
    (row) =>
      row.machine === machine && row.part === part && (row.task === task || (row.task === "replace" && task === "sharpen")),
  );
  let from = 0;
  let used = 0;
  if (last === undefined) {
    const first = rowsOf<{ machine: string; part: string; task: string; ageAtStart: number; from: number | null }>(
      truth,
      "lives",
    ).find((life) => life.machine === machine && life.part === part && life.task === task && life.from === null);
    if (first === undefined) return null;
    used = first.ageAtStart;
  } else {
    if (last.timeUntil !== null) return null;
    // Both kinds of round come before the day's use or late in it; half a day either way is within the day counted in.
    from = dates.indexOf(world.calendar.date(last.time));
  }
  for (let index = from; index < now; index += 1) used += run[index]!;
  return used;
}

export function dueTable(windows: readonly Window[]): string {
  const rows = horizons.map(([from, until]) => {
    const own = windows.filter(({ weeks }) => weeks > from - 1 && weeks <= until);
    const clusters = new Map<string, { hits: number; trials: number }>();
    for (const { seed, machine, isHit } of own) {
      const key = `${seed} ${machine}`;
      const cell = clusters.get(key) ?? { hits: 0, trials: 0 };
      clusters.set(key, { hits: cell.hits + (isHit ? 1 : 0), trials: cell.trials + 1 });
    }
    const share = clusteredShare(clusters.values());
    const comparable = own.filter(
      (window) => window.missLast28 !== null && window.missOracle !== null && window.missWeekHours !== null,
    );
    const miss = (key: "missDays" | "missLast28" | "missWeekHours" | "missOracle") =>
      mean(comparable.map((window) => window[key]!));
    const [tool, last28, oracle] = [miss("missDays"), miss("missLast28"), miss("missOracle")];
    const closed = tool === null || last28 === null || oracle === null ? null : (last28 - tool) / (last28 - oracle);
    return [
      `${from}–${until}`,
      own.length < 150 ? `${own.length} (too few)` : own.length,
      percent(share?.share),
      share === null ? null : `${percent(share.low)} … ${percent(share.high)}`,
      fixed(tool, 1),
      fixed(last28, 1),
      fixed(miss("missWeekHours"), 1),
      fixed(oracle, 1),
      percent(closed),
    ];
  });
  const columns = [
    "weeks ahead",
    "windows",
    "truth inside (80 % meant)",
    "95 %",
    "days off",
    "last 28 days",
    "week of 8 weeks",
    "oracle",
    "gap closed",
  ];
  return markdown(columns, rows);
}
