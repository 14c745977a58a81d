// Numbers and dates as the reader writes them. Words stay English; figures, month names and orders follow the reader's locale.
import type { MaybeRange } from "../ask/answers.ts";
import type { Days } from "../period/period.ts";

export interface Reader {
  readonly locale: string;
  /** 12,345 */
  count(value: number): string;
  /** Hours with as many digits as they deserve: 0.42, 7.3, 41.2, 1,204. */
  hours(value: number): string;
  /** 41.2, or 41.2 (38–44) where the ends differ by more than a hundredth. */
  range(value: MaybeRange): string;
  share(value: number): string;
  /** A figure with so many significant digits. */
  figure(value: number, digits?: number): string;
  /** 2 March 2026 */
  day(day: string): string;
  /** 2 Mar */
  shortDay(day: string): string;
  /** Monday 2 March 2026 */
  longDay(day: string): string;
  /** March 2026 */
  month(day: string): string;
  /** 2–15 March 2026 */
  days(days: Days): string;
  /** Monday first, short. */
  weekdays(): string[];
  longWeekdays(): string[];
  /** 2 March 2026, 14:05 UTC: for a moment whose local clock the server did not send. */
  utc(instant: string): string;
  /** "3 days", "5 hours", "2 minutes": how long ago, in the largest unit that is not nothing. */
  age(milliseconds: number): string;
}

export const unknown = "not known";

const dateOf = (day: string): Date => new Date(`${day}T00:00:00Z`);

/** The first tag of `Accept-Language` that means something here, else British English. */
export function localeFromAccept(header: string | undefined): string {
  const tags = (header ?? "").split(",").map((part) => part.split(";")[0]!.trim());
  for (const tag of tags) {
    if (!/^[a-z]{2,3}(-[a-z0-9]{2,8})*$/i.test(tag)) continue;
    const [known] = Intl.DateTimeFormat.supportedLocalesOf([tag]);
    if (known) return known;
  }
  return "en-GB";
}

export function readerOf(locale: string): Reader {
  const numbers = (options: Intl.NumberFormatOptions) => new Intl.NumberFormat(locale, options);
  const dates = (options: Intl.DateTimeFormatOptions) => new Intl.DateTimeFormat(locale, { timeZone: "UTC", ...options });
  const whole = numbers({ maximumFractionDigits: 0 });
  const tenths = numbers({ minimumFractionDigits: 1, maximumFractionDigits: 1 });
  const hundredths = numbers({ minimumFractionDigits: 2, maximumFractionDigits: 2 });
  const percent = numbers({ style: "percent", maximumFractionDigits: 0 });
  const smallPercent = numbers({ style: "percent", maximumSignificantDigits: 2 });
  const nearlyAll = numbers({ style: "percent", maximumFractionDigits: 2 });
  const day = dates({ day: "numeric", month: "long", year: "numeric" });
  const shortDay = dates({ day: "numeric", month: "short" });
  const longDay = dates({ weekday: "long", day: "numeric", month: "long", year: "numeric" });
  const month = dates({ month: "long", year: "numeric" });
  const clock = dates({ day: "numeric", month: "long", year: "numeric", hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  const hours = (value: number): string => {
    const size = Math.abs(value);
    return size === 0
      ? whole.format(0)
      : size < 1
        ? hundredths.format(value)
        : size < 100
          ? tenths.format(value)
          : whole.format(value);
  };
  const weekdays = (weekday: "short" | "long") => {
    const format = dates({ weekday });
    return Array.from({ length: 7 }, (_, i) => format.format(new Date(Date.UTC(2024, 0, 1 + i))));
  };
  const unit = (value: number, name: "day" | "hour" | "minute") => `${whole.format(value)} ${name}${value === 1 ? "" : "s"}`;
  return {
    locale,
    count: (value) => whole.format(value),
    hours,
    range({ low, best, high }) {
      if (best === null) return unknown;
      const isExact = low === null || high === null || high - low < 0.01 * best || hours(low) === hours(high);
      if (isExact) return hours(best);
      return `${hours(best)} (${hours(low)}–${hours(high)})`;
    },
    share(value) {
      if (value > 0 && value < 0.1) return smallPercent.format(value);
      return (value > 0.99 && value < 1 ? nearlyAll : percent).format(value);
    },
    figure: (value, digits = 3) => numbers({ maximumSignificantDigits: digits }).format(value),
    day: (text) => day.format(dateOf(text)),
    shortDay: (text) => shortDay.format(dateOf(text)),
    longDay: (text) => longDay.format(dateOf(text)),
    month: (text) => month.format(dateOf(text)),
    days: ({ since, until }) => (since === until ? day.format(dateOf(since)) : day.formatRange(dateOf(since), dateOf(until))),
    weekdays: () => weekdays("short"),
    longWeekdays: () => weekdays("long"),
    utc: (instant) => `${clock.format(new Date(instant))} UTC`,
    age(milliseconds) {
      const minutes = Math.max(0, Math.floor(milliseconds / 60_000));
      if (minutes < 60) return unit(minutes, "minute");
      const hoursOld = Math.floor(minutes / 60);
      return hoursOld < 48 ? unit(hoursOld, "hour") : unit(Math.floor(hoursOld / 24), "day");
    },
  };
}

/** "1 machine", "3 machines". */
export const counted = (reader: Reader, count: number, one: string, many = `${one}s`): string =>
  `${reader.count(count)} ${count === 1 ? one : many}`;

/** "the saw, the planer and the lathe". */
export const listed = (words: readonly string[]): string =>
  words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;
