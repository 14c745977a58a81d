// How a column of stamps is written: ISO 8601, day and month in some order, or a count of time. Only the values decide what comes
// first, day or month; where they can't, that is a question.

export interface StampStyle {
  /** As strptime writes it; null for ISO 8601 and counts. */
  format: string | null;
  unit: "s" | "ms" | null;
  hasOffset: boolean;
  hasDate: boolean;
  hasTime: boolean;
  /** Neither order of day and month is ruled out. */
  isOrderOpen: boolean;
  /** Years like 0014: a century is cut off. */
  isYearCut: boolean;
}

const ISO = /^(\d{4})-\d{1,2}-\d{1,2}(?:[T ]\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?)?\s*(Z|UTC|[+-]\d{2}(?::?\d{2})?)?$/i;
const COMPACT = /^\d{8}T\d{6}(Z|[+-]\d{2}:?\d{2})?$/i;
const SLASHED = /^(\d{1,2})([/.-])(\d{1,2})\2(\d{4}|\d{2})(?:[ T,]+(\d{1,2}):(\d{2})(:\d{2})?(\s*[AaPp][Mm])?)?$/;
const CLOCK = /^(\d{1,2}):(\d{2})(:\d{2})?(\s*[AaPp][Mm])?$/;
const SECONDS = /^1?\d{9}(\.\d+)?$/;
const MILLISECONDS = /^1?\d{12}$/;

const style = (more: Partial<StampStyle>): StampStyle => ({
  format: null,
  unit: null,
  hasOffset: false,
  hasDate: true,
  hasTime: true,
  isOrderOpen: false,
  isYearCut: false,
  ...more,
});

/** How nearly all of some values are written, or null where they are no stamps. */
export function maybeStampStyle(values: readonly string[]): StampStyle | null {
  const most = (test: RegExp): string[] | null => {
    const matching = values.filter((value) => test.test(value));
    return values.length > 0 && matching.length >= 0.9 * values.length ? matching : null;
  };
  const iso = most(ISO) ?? most(COMPACT);
  if (iso !== null) {
    return style({
      hasOffset: iso.every((value) => /(Z|UTC|\d[+-]\d{2}:?\d{2}|:\d{2}(\.\d+)?[+-]\d{2})$/i.test(value)),
      hasTime: iso.some((value) => value.length > 10),
      isYearCut: iso.filter((value) => value.startsWith("00")).length > iso.length / 2,
    });
  }
  const slashed = most(SLASHED);
  if (slashed !== null) return slashedStyle(slashed);
  const clock = most(CLOCK);
  if (clock !== null) return style({ format: clockFormat(CLOCK.exec(clock[0]!)!.slice(1)), hasDate: false });
  if (most(MILLISECONDS) !== null) return style({ unit: "ms", hasOffset: true });
  if (most(SECONDS) !== null) return style({ unit: "s", hasOffset: true });
  return null;
}

function slashedStyle(values: string[]): StampStyle {
  const parts = values.map((value) => SLASHED.exec(value)!);
  const firstIsDay = parts.some(([, first]) => Number(first) > 12);
  const secondIsDay = parts.some(([, , , second]) => Number(second) > 12);
  const [, , mark, , year, hour, minute, second, half] = parts[0]!;
  const order = secondIsDay && !firstIsDay ? ["%m", "%d"] : ["%d", "%m"];
  const date = [...order, year!.length === 4 ? "%Y" : "%y"].join(mark);
  const time = hour === undefined ? "" : ` ${clockFormat([hour, minute, second, half])}`;
  return style({
    format: date + time,
    hasTime: hour !== undefined,
    isOrderOpen: !firstIsDay && !secondIsDay,
  });
}

function clockFormat([, , seconds, half]: (string | undefined)[]): string {
  const base = half === undefined ? "%H:%M" : "%I:%M";
  return `${base}${seconds === undefined ? "" : ":%S"}${half === undefined ? "" : half.startsWith(" ") ? " %p" : "%p"}`;
}

/** Seconds since 1970 of a stamp as on the wall, near enough to compare two of one file; null where it is none. */
export function maybeSeconds(value: string, { format, unit }: StampStyle): number | null {
  if (unit !== null) return Number(value) / (unit === "ms" ? 1000 : 1);
  if (format === null) {
    const parts = /^(\d{4})-?(\d{1,2})-?(\d{1,2})(?:[T ](\d{1,2}):?(\d{2}):?(\d{2})?)?/.exec(value);
    return parts === null ? null : secondsOf(parts.slice(1).map((part) => Number(part ?? 0)));
  }
  const parts = SLASHED.exec(value);
  if (parts === null) return null;
  const [, first, , second, year, hour, minute, seconds, half] = parts;
  const [day, month] = format.startsWith("%m") ? [second, first] : [first, second];
  const shift = half === undefined ? 0 : (/p/i.test(half) ? 12 : 0) - (hour === "12" ? 12 : 0);
  return secondsOf([year, month, day, hour, minute, seconds?.slice(1)].map((part) => Number(part ?? 0))) + shift * 3600;
}

const secondsOf = ([year, month, day, hour, minute, second]: number[]): number =>
  Date.UTC(2000 + ((year ?? 0) % 2000), (month ?? 1) - 1, day ?? 1, hour ?? 0, minute ?? 0, second ?? 0) / 1000;
