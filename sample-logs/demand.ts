// Wishes: when somebody would like a turn on a machine of a group, whether or not one is free.
import type { Calendar } from "./calendar.ts";
import { type Group, groups, season } from "./place.ts";
import type { Chance } from "./random.ts";

export interface Wish {
  time: number;
  group: number;
  /** Seed of everything that this wish leads to. */
  luck: number;
}
/** A week in which a group's use is out of line with its trend. */
export interface OddWeek {
  group: number;
  from: number;
  until: number;
  factor: number;
}

const weekday = [0.5, 0.55, 0.6, 0.7, 0.75, 0.7, 0.7, 0.75, 0.9, 1.7, 2.0, 1.9, 1.2] as const; // from 9 to 21 o'clock
const weekend = [1.0, 1.3, 1.4, 1.2, 1.3, 1.4, 1.2, 0.9, 0.6] as const; // from 9 to 17 o'clock

/** Relative wish for a turn in an hour of the week, Monday 00 first. */
export function hourWeight(group: Group, hourOfWeek: number): number {
  const day = Math.floor(hourOfWeek / 24);
  const hour = hourOfWeek % 24;
  if (hour < 4) return 1.5;
  if (day >= 5) return (weekend[hour - 9] ?? (hour >= 20 ? 2 : 0.3)) * group.weekend;
  if (day === 0 && hour < 13) return 0.1;
  return (weekday[hour - 9] ?? 0.3) * (hour >= 17 ? group.evening : 1);
}

/** Turns wished for per open hour, before odd weeks: the truth a forecast of demand is held against. */
export function trueRate(calendar: Calendar, group: Group, weightSum: number, time: number): number {
  const date = calendar.date(time);
  const month = Number(date.slice(5, 7)) - 1;
  const dayOfMonth = Number(date.slice(8, 10));
  // Between the middles of two months the season changes in a straight line.
  const share = (dayOfMonth - 15) / 30;
  const neighbour = season[(month + (share < 0 ? 11 : 1)) % 12]!;
  const ofYear = season[month]! * (1 - Math.abs(share)) + neighbour * Math.abs(share);
  const holiday = /-12-(2[0-9]|3[01])$|-01-0[1-4]$/.test(date) ? 0.4 : 1;
  const years = (time - calendar.from) / (365.25 * 86_400);
  return (
    (group.weeklyTurns * hourWeight(group, calendar.hourOfWeek(time)) * ofYear * holiday * (1 + group.growth) ** years) /
    weightSum
  );
}

/** Sum of the weights over the hours of an ordinary open week, so that `weeklyTurns` means what it says. */
export function weightSums(calendar: Calendar): number[] {
  const hours = new Set<number>();
  for (const { from, until } of calendar.stretches.filter(({ from }) => from < calendar.from + 4 * 7 * 86_400)) {
    for (let time = from; time < until; time += 3600) hours.add(calendar.hourOfWeek(time));
  }
  return groups.map((group) => {
    let sum = 0;
    for (const hour of hours) if (hour % 24 >= 4) sum += hourWeight(group, hour);
    return sum;
  });
}

/** All wishes of the span in order of time. In a quiet stretch nobody comes. */
export function wishesFrom(
  calendar: Calendar,
  chance: Chance,
  oddWeeks: OddWeek[],
  quiet: { from: number; until: number }[],
): Wish[] {
  const sums = weightSums(calendar);
  const wishes: Wish[] = [];
  for (const { from, until } of calendar.spells) {
    for (let time = from; time < until; ) {
      const local = time + calendar.offset(time);
      const next = Math.min(until, time + 3600 - (local % 3600));
      for (let index = 0; index < groups.length; index += 1) {
        const group = groups[index]!;
        const odd = oddWeeks.find((week) => week.group === index && time >= week.from && time < week.until);
        const mean = trueRate(calendar, group, sums[index]!, time) * ((next - time) / 3600) * (odd?.factor ?? 1);
        for (let count = chance.poisson(mean); count > 0; count -= 1) {
          wishes.push({
            time: time + Math.floor(chance.uniform() * (next - time)),
            group: index,
            luck: chance.whole(0, 0x7fffffff),
          });
        }
      }
      time = next;
    }
  }
  const isQuiet = ({ time }: Wish) => quiet.some(({ from, until }) => time >= from && time < until);
  return wishes.filter((wish) => !isQuiet(wish)).sort((a, b) => a.time - b.time || a.group - b.group);
}
