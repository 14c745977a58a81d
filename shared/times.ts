// Times as people type them, in options and in files: a day, a time of the workshop's clock, a time with an offset, or "now".
import { Temporal } from "temporal-polyfill";
import { UsageError } from "./errors.ts";
import { isDate, isStamp } from "./words.ts";

export interface TypedTime {
  /** The option or place that it was typed in. */
  field: string;
  /** A day is its first midnight for `since` and `instant`, the midnight that ends it for `until`. */
  side: "since" | "until" | "instant";
  /** What `now` means; the clock's time where not given. */
  now?: Date;
}

export const TIME_EXPECTED =
  "a date yyyy-mm-dd, a time yyyy-mm-ddThh:mm (the workshop's, or with an offset like +02:00 or Z), or now";

/**
 * The instant that a typed text means in a time zone, to the millisecond. A time that comes twice in autumn is the first of the
 * two; one that spring leaves out is moved on by the gap. Throws UsageError where it is no time of the calendar.
 */
export function instantFromTyped(text: string, zone: string, { field, side, now }: TypedTime): Date {
  const typed = text.trim();
  if (typed.toLowerCase() === "now") return now ?? new Date();
  if (isDate(typed)) {
    const day = Temporal.PlainDate.from(typed);
    return dateFromZoned((side === "until" ? day.add({ days: 1 }) : day).toZonedDateTime(zone));
  }
  if (!isStamp(typed)) throw new UsageError({ field, value: text, expected: TIME_EXPECTED });
  const [, local = "", offset = ""] = /^(.*?)\s?(Z|[+-]\d{2}(?::?\d{2})?)?$/i.exec(typed) ?? [];
  const clock = local.replace(/ /, "T").toUpperCase();
  // A bare date ends in what looks like an offset; isStamp has seen to it that there is a time of day before this one.
  if (offset !== "") return new Date(Temporal.Instant.from(`${clock}${offset.toUpperCase()}`).epochMilliseconds);
  return dateFromZoned(Temporal.PlainDateTime.from(clock).toZonedDateTime(zone));
}

/** The day of the calendar so many days after another; no zone has a say in it. */
export const dayAfter = (day: string, days: number): string => Temporal.PlainDate.from(day).add({ days }).toString();

/** The local day of an instant, by Node's zone data: for what people type, never for sums over a log. */
export const dayOfInstant = (instant: Date, zone: string): string =>
  Temporal.Instant.fromEpochMilliseconds(instant.getTime()).toZonedDateTimeISO(zone).toPlainDate().toString();

const dateFromZoned = (zoned: Temporal.ZonedDateTime): Date => new Date(zoned.epochMilliseconds);
