// One invented world, made in memory: who there is, what was wished, what truly happened. The same options give the same world.
import { type Calendar, calendarFrom, type OpeningHours } from "./calendar.ts";
import { type Wish, wishesFrom } from "./demand.ts";
import { type Faults, faultsFrom } from "./faults.ts";
import { type Person, peopleFrom } from "./people.ts";
import { type Machine, machines, openingHours, place } from "./place.ts";
import { type Deeds, deedsFrom, longNights, noDeeds, noWords, type Words, wordsFrom } from "./planted.ts";
import { type Chance, chanceFrom } from "./random.ts";
import { simulateUse, type Use } from "./use.ts";
import { careTimes, newWear, noWear, type Wear, type WearTold } from "./wear.ts";

export interface WorldOptions {
  seed: number;
  years: number;
  /** First local day that is no longer in the logs. */
  until: string;
  mess: boolean;
  findings: boolean;
}
export interface World {
  options: WorldOptions;
  start: string;
  calendar: Calendar;
  hours: OpeningHours;
  people: Person[];
  faults: Faults;
  deeds: Deeds;
  use: Use;
  worn: WearTold;
  words: Words;
}

export function makeWorld(options: WorldOptions): World {
  const prepared = prepare(options);
  const { calendar, people, faults, stream } = prepared;
  const { wear, told } = newWear(calendar, stream("wear"));
  const use = walk(prepared, machines, wear, stream("use"));
  const worn = told();
  const { years, findings } = options;
  const { sessions } = use;
  const words = findings
    ? wordsFrom({ calendar, chance: stream("words"), years, sessions, people, cuts: faults.cuts })
    : noWords();
  const { start, hours, deeds } = prepared;
  return { options, start, calendar, hours, people, faults, deeds, use, worn, words };
}

/**
 * Member-hours of use in the same world, with one more unit of a group or, without a group, as it is. Nothing wears
 * in it: outages are not demand's fault. The same wishes bring the same work each time, so that differences are steady.
 */
export const memberHours = (options: WorldOptions, group: string | null): number => memberHoursOf(options, [group])[0]!;

/** The same for several groups, the world made ready once. */
export function memberHoursOf(options: WorldOptions, groups: readonly (string | null)[]): number[] {
  const prepared = prepare(options);
  return groups.map((group) => {
    const twin = machines.find((machine) => machine.group === group);
    const units = twin === undefined ? machines : [...machines, { ...twin, id: `${twin.id}-more`, address: 63 }];
    const { sessions } = walk(prepared, units, noWear(), prepared.stream("use"));
    return sessions.reduce((sum, { turn, start, usualEnd }) => sum + (turn < 0 ? 0 : usualEnd - start), 0) / 3600;
  });
}

interface Prepared {
  start: string;
  calendar: Calendar;
  hours: OpeningHours;
  people: Person[];
  faults: Faults;
  deeds: Deeds;
  wishes: Wish[];
  stream: (name: string) => Chance;
}

function prepare({ seed, years, until, mess, findings }: WorldOptions): Prepared {
  const start = firstDay(until, years);
  const stream = (name: string) => chanceFrom(seed, name);
  const bare = calendarFrom(place.zone, start, until, { staffed: {}, member: {}, exceptions: [] });
  const changeDays = bare.changes.map(({ time }) => bare.date(time));
  const hours = openingHours(Number(start.slice(0, 4)), Number(until.slice(0, 4)), changeDays);
  const calendar = calendarFrom(place.zone, start, until, hours);
  const people = peopleFrom(calendar, stream("people"));
  const faults = mess ? faultsFrom(calendar, stream("faults"), years) : { cuts: [], losses: [] };
  const deeds = findings ? deedsFrom(calendar, stream("deeds"), years) : noDeeds();
  deeds.plan.forced.push(...longNights(calendar));
  const wishes = wishesFrom(calendar, stream("demand"), deeds.oddWeeks, deeds.quiet);
  return { start, calendar, hours, people, faults, deeds, wishes, stream };
}

function walk({ calendar, people, faults, deeds, wishes }: Prepared, units: Machine[], wear: Wear, chance: Chance): Use {
  const { cuts } = faults;
  return simulateUse({
    calendar,
    people,
    machines: units,
    wishes,
    cuts,
    careTimes: careTimes(calendar),
    wear,
    plan: deeds.plan,
    chance,
  });
}

function firstDay(until: string, years: number): string {
  const year = Number(until.slice(0, 4));
  if (Number.isInteger(years)) return `${year - years}${until.slice(4)}`;
  return new Date(Date.parse(`${until}T12:00:00Z`) - Math.round(years * 365.25) * 86_400_000).toISOString().slice(0, 10);
}
