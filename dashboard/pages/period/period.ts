// Which days a page is about, read from its address and written back to it.
import { daysBetween, firstOfMonth, isDay, mondayOf, plusDays } from "./days.ts";

export const periodIds = ["week", "month", "season", "year", "all", "span"] as const;
export type PeriodId = (typeof periodIds)[number];

/** Both days belong to it. */
export interface Days {
  since: string;
  until: string;
}

export interface Period {
  id: PeriodId;
  days: Days;
  /** As far as the period has been lived and logged; null where none of it has. */
  lived: Days | null;
  /** As many days of the period before as this one has lived; null for all time or where nothing is lived. */
  before: Days | null;
  /** The day an earlier or later period is asked for by; null where there is none with a log. */
  earlierOn: string | null;
  laterOn: string | null;
  /** The period holds neither today nor was asked for: the log ends before it, so the last one with a log is shown. */
  isLatestLogged: boolean;
  wantsComparison: boolean;
}

export interface LoggedDays {
  today: string;
  firstDay: string | null;
  lastDay: string | null;
}

export type Query = Readonly<Record<string, string | undefined>>;

const defaultId: PeriodId = "season";

/**
 * Reads `period`, `on`, `from`, `to` and `compare`. What can't be read counts as not given: an address that somebody shortened still
 * opens. Without `on` a period holds today, or the last day of the log where that is older than the period.
 */
export function periodFromQuery(query: Query, logged: LoggedDays): Period {
  const asked = periodIds.find((id) => id === query.period) ?? defaultId;
  const own = isDay(query.from) && isDay(query.to) && query.from <= query.to ? { since: query.from, until: query.to } : null;
  const id = asked === "span" && !own ? defaultId : asked;
  const first = logged.firstDay ?? logged.today;
  const last = logged.lastDay ?? logged.today;
  const reach = last < logged.today ? last : logged.today;
  const current = daysOf(id, logged.today, own, first, reach);
  const isStale = last < current.since && id !== "all" && id !== "span";
  const on = isDay(query.on) ? query.on : isStale ? last : logged.today;
  const days = daysOf(id, on, own, first, reach);
  const lived = days.since <= reach && days.until >= first ? { since: days.since, until: min(days.until, reach) } : null;
  const earlier = plusDays(days.since, -1);
  const later = plusDays(days.until, 1);
  const canMove = id !== "all" && id !== "span";
  return {
    id,
    days,
    lived,
    before: lived && id !== "all" ? daysBefore(id, days, lived) : null,
    earlierOn: canMove && earlier >= first ? earlier : null,
    laterOn: canMove && later <= logged.today ? later : null,
    isLatestLogged: isStale && !isDay(query.on),
    wantsComparison: query.compare === "before",
  };
}

const min = (a: string, b: string): string => (a < b ? a : b);

function daysOf(id: PeriodId, on: string, own: Days | null, first: string, reach: string): Days {
  switch (id) {
    case "week":
      return { since: mondayOf(on), until: plusDays(mondayOf(on), 6) };
    case "month":
      return { since: firstOfMonth(on), until: plusDays(firstOfMonth(on, 1), -1) };
    case "season": {
      const since = firstOfMonth(on, -(Number(on.slice(5, 7)) % 3));
      return { since, until: plusDays(firstOfMonth(since, 3), -1) };
    }
    case "year":
      return { since: `${on.slice(0, 4)}-01-01`, until: `${on.slice(0, 4)}-12-31` };
    case "all":
      return { since: first, until: reach < first ? first : reach };
    case "span":
      return own ?? { since: first, until: reach };
  }
}

function daysBefore(id: PeriodId, days: Days, lived: Days): Days {
  const previousLast = plusDays(days.since, -1);
  const since =
    id === "span" ? plusDays(days.since, -1 - daysBetween(days.since, days.until)) : daysOf(id, previousLast, null, "", "").since;
  const isWhole = lived.until === days.until;
  const until = isWhole ? previousLast : min(previousLast, plusDays(since, daysBetween(days.since, lived.until)));
  return { since, until };
}

/** The query that asks for this period again with some of it changed; what is the default is left out. */
export function queryWith(query: Query, changes: Query): string {
  const all: Query = { ...query, ...changes };
  const kept = Object.entries(all).filter(([, value]) => value !== undefined && value !== "") as [string, string][];
  const text = new URLSearchParams(kept).toString();
  return text ? `?${text}` : "";
}

/** The part of a query that goes along from leaf to leaf. */
export const periodPart = (query: Query): Query =>
  Object.fromEntries(["period", "on", "from", "to", "compare"].map((name) => [name, query[name]]));
