// The invented workshop's clock on the wall: local days, opening hours as stretches of true time, stamps as the server prints them.
// All times are whole seconds since 1970 in UTC; what a local time means is asked of Temporal alone.
import { Temporal } from "temporal-polyfill";

export type DoorState = "staffed" | "member";
export const weekdays = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"] as const;
export type Weekday = (typeof weekdays)[number];

export interface OpeningHours {
  staffed: Partial<Record<Weekday, string[]>>;
  member: Partial<Record<Weekday, string[]>>;
  exceptions: { date: string; closed?: true; staffed?: string[]; member?: string[] }[];
}

export interface Stretch {
  from: number;
  until: number;
  state: DoorState;
}
export interface Spell {
  from: number;
  until: number;
}
export interface Day {
  date: string;
  weekday: number;
  from: number;
  until: number;
}

export interface Calendar {
  zone: string;
  from: number;
  until: number;
  days: Day[];
  /** Staffed and member stretches in order. */
  stretches: Stretch[];
  /** Stretches joined where one follows the other without a pause: from unlocking to locking up. */
  spells: Spell[];
  /** The clock changes inside the span. */
  changes: { time: number; before: number; after: number }[];
  offset(time: number): number;
  /** `dd/mm/yyyy hh:mm:ss` in local time. */
  stamp(time: number): string;
  /** `yyyy-mm-dd` of the local day. */
  date(time: number): string;
  /** `yyyy-mm-ddThh:mm` in local time. */
  minute(time: number): string;
  hourOfWeek(time: number): number;
  spellAt(time: number): Spell | null;
  stateAt(time: number): DoorState | "closed";
  /** The instant of a local date and time of day. */
  instant(date: string, clock: string): number;
}

const two = (value: number) => (value < 10 ? `0${value}` : `${value}`);

export function calendarFrom(zone: string, start: string, until: string, hours: OpeningHours): Calendar {
  const seconds = (moment: Temporal.ZonedDateTime) => moment.epochMilliseconds / 1000;
  const instant = (date: string, clock: string) => seconds(Temporal.PlainDateTime.from(`${date}T${clock}`).toZonedDateTime(zone));
  const first = Temporal.PlainDate.from(start);
  const last = Temporal.PlainDate.from(until);
  const from = seconds(first.toZonedDateTime(zone));
  const end = seconds(last.toZonedDateTime(zone));
  const unsetOffset = Temporal.Instant.fromEpochMilliseconds(0).toZonedDateTimeISO(zone).offsetNanoseconds / 1e9;

  const changes: Calendar["changes"] = [];
  const opening = first.toZonedDateTime(zone);
  let moment: Temporal.ZonedDateTime | null = opening;
  let before = opening.offsetNanoseconds / 1e9;
  const firstOffset = before;
  while (moment !== null) {
    moment = moment.getTimeZoneTransition("next");
    if (moment === null || seconds(moment) >= end) break;
    const after = moment.offsetNanoseconds / 1e9;
    changes.push({ time: seconds(moment), before, after });
    before = after;
  }

  const offset = (time: number) => {
    if (time < 86_400 * 365) return unsetOffset;
    let found = firstOffset;
    for (const change of changes) {
      if (change.time > time) break;
      found = change.after;
    }
    return found;
  };
  let stamped = { dayNumber: Number.NaN, text: "" };
  const local = (time: number) => new Date((time + offset(time)) * 1000);

  const days: Day[] = [];
  const stretches: Stretch[] = [];
  const exceptions = new Map(hours.exceptions.map((exception) => [exception.date, exception]));
  for (let day = first; Temporal.PlainDate.compare(day, last) < 0; day = day.add({ days: 1 })) {
    const date = day.toString();
    const weekday = day.dayOfWeek - 1;
    days.push({
      date,
      weekday,
      from: seconds(day.toZonedDateTime(zone)),
      until: seconds(day.add({ days: 1 }).toZonedDateTime(zone)),
    });
    const exception = exceptions.get(date);
    for (const state of ["staffed", "member"] as const) {
      const spans = exception ? (exception[state] ?? []) : (hours[state][weekdays[weekday]!] ?? []);
      for (const span of spans) {
        const [open, close] = span.split("-") as [string, string];
        const closes = close > open ? date : day.add({ days: 1 }).toString();
        stretches.push({ from: instant(date, open), until: Math.min(instant(closes, close), end), state });
      }
    }
  }
  stretches.sort((a, b) => a.from - b.from);

  const spells: Spell[] = [];
  for (const stretch of stretches) {
    const previous = spells.at(-1);
    if (previous !== undefined && previous.until >= stretch.from) previous.until = Math.max(previous.until, stretch.until);
    else spells.push({ from: stretch.from, until: stretch.until });
  }

  const at = <T extends Spell>(list: T[], time: number): T | null => {
    let low = 0;
    let high = list.length - 1;
    while (low <= high) {
      const middle = (low + high) >> 1;
      const item = list[middle]!;
      if (time < item.from) high = middle - 1;
      else if (time >= item.until) low = middle + 1;
      else return item;
    }
    return null;
  };

  return {
    zone,
    from,
    until: end,
    days,
    stretches,
    spells,
    changes,
    offset,
    stamp: (time) => {
      const moved = time + offset(time);
      const dayNumber = Math.floor(moved / 86_400);
      if (dayNumber !== stamped.dayNumber) {
        const d = new Date(dayNumber * 86_400_000);
        stamped = { dayNumber, text: `${two(d.getUTCDate())}/${two(d.getUTCMonth() + 1)}/${d.getUTCFullYear()}` };
      }
      const second = moved - dayNumber * 86_400;
      return `${stamped.text} ${two(Math.floor(second / 3600))}:${two(Math.floor(second / 60) % 60)}:${two(second % 60)}`;
    },
    date: (time) => local(time).toISOString().slice(0, 10),
    minute: (time) => local(time).toISOString().slice(0, 16),
    hourOfWeek: (time) => {
      const d = local(time);
      return ((d.getUTCDay() + 6) % 7) * 24 + d.getUTCHours();
    },
    spellAt: (time) => at(spells, time),
    stateAt: (time) => at(stretches, time)?.state ?? "closed",
    instant,
  };
}
