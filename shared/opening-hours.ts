// Opening hours as people write them: "18:00-22:00", "18:00-02:00" (which belongs to its first day), "thu 18:00-22:00".
import * as z from "zod";
import { UsageError } from "./errors.ts";

/** Monday first, as weeks start. */
export const WEEKDAYS = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"] as const;
export type Weekday = (typeof WEEKDAYS)[number];

/** Minutes after the local midnight of the day it belongs to; `untilMinute` passes 1440 where it ends on the next day. */
export interface OpeningSpan {
  fromMinute: number;
  untilMinute: number;
}

const SPAN = /^(\d{1,2}):([0-5]\d)\s*[-–]\s*(\d{1,2}):([0-5]\d)$/;
export const SPAN_EXPECTED = "opening hours like 18:00-22:00, or past midnight like 18:00-02:00";

/** A typed span, or undefined where it is none. `00:00-24:00` is the whole day. */
export function spanFromText(text: string): OpeningSpan | undefined {
  const found = SPAN.exec(text.trim());
  if (found === null) return undefined;
  const [fromHour, fromMinutes, untilHour, untilMinutes] = found.slice(1).map(Number) as [number, number, number, number];
  const fromMinute = fromHour * 60 + fromMinutes;
  const untilMinute = untilHour * 60 + untilMinutes;
  if (fromMinute >= 24 * 60 || untilMinute > 24 * 60 || fromMinute === untilMinute) return undefined;
  return { fromMinute, untilMinute: untilMinute > fromMinute ? untilMinute : untilMinute + 24 * 60 };
}

/** An opening span in a file: text in, minutes out. */
export const spanWord = z
  .string(SPAN_EXPECTED)
  .refine((text) => spanFromText(text) !== undefined, SPAN_EXPECTED)
  .transform((text) => spanFromText(text) as OpeningSpan);

/** `thu 18:00-22:00` as the option `--open` takes it. Throws UsageError. */
export function openingFromTyped(text: string, field: string): OpeningSpan & { weekday: Weekday } {
  const [day = "", ...rest] = text.trim().split(/\s+/);
  const weekday = WEEKDAYS.find((name) => name === day.toLowerCase().slice(0, 3));
  const span = spanFromText(rest.join(" "));
  if (weekday === undefined || span === undefined) {
    throw new UsageError({ field, value: text, expected: "a weekday and hours like thu 18:00-22:00" });
  }
  return { weekday, ...span };
}
