// The small words that the files of users are made of: ids, dates, hours, amounts. Each schema's message is what it expects.
import { Temporal } from "temporal-polyfill";
import * as z from "zod";
import { meantBy } from "./problem.ts";

/** A map with these keys only; an unknown key's message is the list of those known, split by blanks. */
export function strict<Shape extends z.core.$ZodLooseShape>(expected: string, shape: Shape): z.ZodObject<Shape, z.core.$strict> {
  const known = Object.keys(shape).join(" ");
  return z.strictObject(shape, { error: (issue) => (issue.code === "unrecognized_keys" ? known : expected) });
}

/** Text of at least one character that is not white space. */
export const word = (expected: string) => z.string(expected).regex(/\S/, expected);

const ID = /^[\p{L}\p{N}][\p{L}\p{N}._-]*$/u;

/** The name by which one thing in the file means another. */
export const idWord = (what: string) =>
  z.string(`${what}: letters, digits, - and _`).regex(ID, `${what}: letters, digits, - and _, without blanks`);

/** A station as it is written in the log. */
export const stationWord = word("a station as the log writes it");

export const yes = (expected: string) => z.boolean(`true or false: ${expected}`);

export const above0 = (what: string) => z.number(`${what}, a number above 0`).positive(`${what}, a number above 0`);
export const from0 = (what: string) => z.number(`${what}, a number from 0`).nonnegative(`${what}, a number from 0`);

export function whole(what: string, low: number, high?: number) {
  const expected = `${what}, a whole number from ${low}${high === undefined ? "" : ` to ${high}`}`;
  const number = z.int(expected).min(low, expected);
  return high === undefined ? number : number.max(high, expected);
}

const DATE = /^\d{4}-\d{2}-\d{2}$/;
const DATE_EXPECTED = "a date of the calendar, yyyy-mm-dd";
const STAMP = /^\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}(:\d{2}(\.\d{1,6})?)?\s?(Z|[+-]([01]\d|2[0-3])(:?[0-5]\d)?)?$/i;
const STAMP_EXPECTED = "a date yyyy-mm-dd or a time yyyy-mm-ddThh:mm";

/** Whether a text is a day of the calendar, years 1900 to 2199. */
export function isDate(text: string): boolean {
  if (!DATE.test(text)) return false;
  const year = Number(text.slice(0, 4));
  if (year < 1900 || year > 2199) return false;
  try {
    Temporal.PlainDate.from(text, { overflow: "reject" });
    return true;
  } catch {
    // 30 February and the like: the question is whether it can be read.
    return false;
  }
}

/** Whether a text is a day and a time of day, with or without an offset. */
export function isStamp(text: string): boolean {
  if (!STAMP.test(text) || !isDate(text.slice(0, 10))) return false;
  try {
    Temporal.PlainDateTime.from(text.replace(/\s?(Z|[+-]\d{2}:?\d{0,2})$/i, ""), { overflow: "reject" });
    return Number(text.slice(17, 19) || 0) < 60;
  } catch {
    // 25:00 and the like, as above.
    return false;
  }
}

/** A local day. */
export const dateWord = z.string(DATE_EXPECTED).refine(isDate, DATE_EXPECTED);

/** A local day, or a time of day on one: the workshop's, where it has no offset. */
export const dayOrTimeWord = z.string(STAMP_EXPECTED).refine((text) => isDate(text) || isStamp(text), STAMP_EXPECTED);

/** Names of three letters that are time zones; others, like PST or IST, mean different zones to different people. */
const SHORT_ZONES = new Set("UTC GMT CET EET MET WET EST HST MST PRC ROC ROK".split(" "));

/** Whether there is a time zone of this name. An offset is none: it knows no summer. */
export function isZone(name: string): boolean {
  if (!/^[A-Z]/i.test(name) || (/^[A-Z]{3}$/i.test(name) && !SHORT_ZONES.has(name.toUpperCase()))) return false;
  try {
    new Intl.DateTimeFormat("en", { timeZone: name });
    return true;
  } catch {
    // RangeError is how Intl says that it knows no such zone.
    return false;
  }
}

export const knownZones = (): string[] => ["UTC", ...Intl.supportedValuesOf("timeZone")];

const ZONE_EXPECTED = "a time zone like Europe/Lisbon";

export const zoneWord = z.string(ZONE_EXPECTED).refine(isZone, {
  error: ({ input }) => {
    const meant = typeof input === "string" ? meantBy(input, knownZones()) : undefined;
    return meant === undefined ? ZONE_EXPECTED : `${ZONE_EXPECTED}; did you mean ${meant}?`;
  },
});

/** A low, a best and a high figure in that order. */
export const rangeOf = (what: string, figure: z.ZodNumber) =>
  strict(`${what} as {low, best, high}`, { low: figure, best: figure, high: figure }).refine(
    ({ low, best, high }) => low <= best && best <= high,
    `${what} with low ≤ best ≤ high`,
  );

/** One thing or a list of them, as a list. */
export const oneOrMore = <S extends z.ZodType>(item: S, expected: string) =>
  z
    .union([item, z.array(item).min(1, expected)], expected)
    .transform((value) => (Array.isArray(value) ? value : [value]) as z.output<S>[]);
