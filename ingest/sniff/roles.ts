// Which column is what: judged by how its values behave first, by its name where several would do.
import type { EventKind } from "../../shared/profile.ts";
import type { Shape } from "./shape.ts";
import { maybeSeconds, maybeStampStyle, type StampStyle } from "./stamps.ts";

export interface Column {
  name: string;
  values: string[];
  distinct: Set<string>;
  stamp: StampStyle | null;
  isNumber: boolean;
}

export interface Roles {
  rows: "events" | "sessions";
  /** Two columns where date and time of day are apart. */
  time: Column[];
  finish: Column | null;
  duration: { column: Column; unit: "hours" | "minutes" | "seconds" } | null;
  station: Column;
  badge: Column | null;
  event: { column: Column; map: Record<string, EventKind>; unknown: string[] } | null;
  /** Where no words are known: a column that by name or by its few words may be the event. */
  maybeEvent: Column | null;
  sequence: Column | null;
  detail: Column | null;
  /** What else might be the station or the badge. */
  otherStations: string[];
}

const NAMES = {
  station: /station|unit|device|machine|reader|door|terminal|zone|charger|node|gate|address|location|room/i,
  badge: /badge|card|user|member|tag|rfid|person|prox|holder|key|fob/i,
  event: /event|action|type|status|message|what|kind|direction|state/i,
  sequence: /^(seq|sequence|count|counter|nr|no|number|n)$/i,
  detail: /detail|remark|note|comment|text|message|info/i,
  start: /start|begin|creat|from|open|plug.?in|check.?in/i,
  finish: /finish|end|stop|until|clos|left|plug.?out|check.?out/i,
  duration: /duration|length|elapsed|hours|hrs|minutes|mins|seconds|secs/i,
};

const WORDS: [EventKind, RegExp][] = [
  ["alive", /^(alive|ping|heart.?beat|keep.?alive|hello|beat|poll)$/i],
  ["refuse", /^(refuse|refused|deny|denied|reject|rejected|no|nok|invalid|unauthori[sz]ed|forbidden|fail|failed)$/i],
  ["boot", /^(boot|booted|start.?up|power.?up|reset|reboot|restart|restarted)$/i],
  ["motor-on", /^(motor.?(on|start|started)|run|running|spindle.?on)$/i],
  ["motor-off", /^(motor.?(off|stop|stopped)|idle|spindle.?off)$/i],
  ["change", /^(change|changed|config|setting|settings|setup|update)$/i],
  [
    "enable",
    /^(enable|enabled|in|on|insert|inserted|granted|grant|accept|accepted|login|log.?in|start|started|open|unlock|yes|ok|begin)$/i,
  ],
  ["release", /^(release|released|out|off|remove|removed|logout|log.?out|stop|stopped|close|closed|lock|end|ended)$/i],
];

/** What may stand beside the word that counts: `card in`, `access granted`. */
const BESIDE = /^(card|badge|tag|key|fob|user|access|member|machine|station|reader)[\s._-]+/i;

/** The columns of a shape with what their values are. */
export function columnsOf(shape: Shape): Column[] {
  return shape.columns.map((name, index) => {
    const values = shape.rows.map((row) => row[index] ?? null).filter((value) => value !== null);
    return {
      name,
      values,
      distinct: new Set(values),
      stamp: maybeStampStyle(values.slice(0, 2000)),
      isNumber: values.length > 0 && values.every((value) => /^[-+]?\d+([.,]\d+)?$/.test(value)),
    };
  });
}

/** What each column is, or why this is no event log. */
export function rolesOf(columns: Column[], shape: Shape): Roles | { none: string } {
  const stamps = columns.filter(({ stamp }) => stamp?.hasDate === true);
  if (stamps.length === 0) return { none: "no column reads as a date" };
  const pair = maybePair(columns, stamps, shape);
  const clock = columns.find(({ stamp }) => stamp !== null && !stamp.hasDate);
  const first = stamps.find(({ stamp }) => stamp!.hasTime) ?? stamps[0]!;
  const time = !first.stamp!.hasTime && clock !== undefined ? [first, clock] : [first];
  const isStamp = (column: Column): boolean => time.includes(column) || column === pair?.finish;
  const others = columns.filter((column) => !isStamp(column) && column.values.length > 0);
  const duration = durationOf(others, pair);
  const free = others.filter((column) => column !== duration?.column);
  const event = pair === null ? eventOf(free) : null;
  const badge = named(
    free.filter((column) => column !== event?.column),
    NAMES.badge,
  );
  const maybeEvent = pair !== null || event !== null ? null : wordsLikeEvents(free.filter((column) => column !== badge));
  const stations = free
    .filter((column) => column !== event?.column && column !== badge && isAddress(column))
    .sort((a, b) => Number(NAMES.station.test(b.name)) - Number(NAMES.station.test(a.name)) || rank(a) - rank(b));
  const station = stations[0];
  if (station === undefined) return { none: "no column reads as a station: few values, each of them often" };
  const isSessions = pair !== null || (duration !== null && event === null);
  if (!isSessions && event === null && badge === null)
    return { none: "no column of words for enable and release, no badge, no second stamp for an end" };
  if (!NAMES.station.test(station.name) && badge === null && event === null)
    return { none: "no column is named as a station or a badge" };
  const rest = free.filter((column) => ![event?.column, maybeEvent, badge, station].includes(column));
  return {
    rows: isSessions ? "sessions" : "events",
    time: pair === null ? time : [pair.start],
    finish: pair?.finish ?? null,
    duration: pair === null ? duration : null,
    station,
    badge,
    event,
    maybeEvent: isSessions ? null : maybeEvent,
    sequence: isSessions ? null : (rest.find((column) => NAMES.sequence.test(column.name) && column.isNumber) ?? null),
    detail: rest.find((column) => NAMES.detail.test(column.name)) ?? null,
    otherStations: stations
      .slice(1, 4)
      .filter(({ name }) => NAMES.station.test(name))
      .map(({ name }) => name),
  };
}

const named = (columns: Column[], pattern: RegExp): Column | null =>
  columns
    .filter(({ name, distinct }) => pattern.test(name) && distinct.size > 1)
    .sort((a, b) => b.distinct.size - a.distinct.size)[0] ?? null;

/** Values that come again, not all the same, and no fractions. */
const isAddress = ({ values, distinct, stamp }: Column): boolean =>
  stamp === null &&
  distinct.size > 1 &&
  distinct.size <= Math.max(4, values.length / 2) &&
  !values.some((value) => /^\d+[.,]\d+$/.test(value)) &&
  !isYesNo(distinct);

const isYesNo = (distinct: Set<string>): boolean =>
  distinct.size <= 2 && [...distinct].every((value) => /^(0|1|true|false|yes|no|y|n|na)$/i.test(value));

/** Better stations have more values and a name that says id. */
const rank = ({ name, distinct }: Column): number => (/id$|no$|nr$/i.test(name) ? 0 : 1e6) - Math.min(distinct.size, 1e5);

/** A start and a finish: two stamps, the one never after the other. */
function maybePair(columns: Column[], stamps: Column[], shape: Shape): { start: Column; finish: Column } | null {
  for (const start of stamps) {
    for (const finish of stamps) {
      if (start === finish || start.stamp!.hasTime !== finish.stamp!.hasTime) continue;
      const spans = spansOf(columns, start, finish, shape);
      const onward = spans.filter((span) => span >= 0).length;
      const isNamed = NAMES.finish.test(finish.name) || NAMES.start.test(start.name);
      if (spans.length > 0 && onward >= 0.95 * spans.length && spans.some((span) => span > 0) && isNamed)
        return { start, finish };
    }
  }
  return null;
}

function spansOf(columns: Column[], start: Column, finish: Column, shape: Shape): number[] {
  const [from, until] = [columns.indexOf(start), columns.indexOf(finish)];
  return shape.rows.flatMap((row) => {
    const [a, b] = [row[from], row[until]];
    const first = a === null || a === undefined ? null : maybeSeconds(a, start.stamp!);
    const last = b === null || b === undefined ? null : maybeSeconds(b, finish.stamp!);
    return first === null || last === null ? [] : [last - first];
  });
}

/** A column of numbers named as a length of time, where no second stamp tells the end. */
function durationOf(columns: Column[], pair: { start: Column; finish: Column } | null): Roles["duration"] {
  if (pair !== null) return null;
  const column = columns.find(({ name, isNumber }) => isNumber && NAMES.duration.test(name));
  if (column === undefined) return null;
  return { column, unit: /h(ou)?rs?$/i.test(column.name) ? "hours" : /min(ute)?s?$/i.test(column.name) ? "minutes" : "seconds" };
}

/** Two to twelve words, each of them often, in a column named as an event; the one with the fewest words. */
const wordsLikeEvents = (columns: Column[]): Column | null =>
  columns
    .filter(({ name, distinct, isNumber, values, stamp }) => {
      const isFew = distinct.size >= 2 && distinct.size <= 12 && distinct.size <= values.length / 4;
      return isFew && !isNumber && stamp === null && NAMES.event.test(name) && !NAMES.station.test(name);
    })
    .sort((a, b) => a.distinct.size - b.distinct.size)[0] ?? null;

function eventOf(columns: Column[]): Roles["event"] {
  const read = columns
    .filter(({ distinct, isNumber }) => distinct.size <= 40 && !isNumber)
    .map((column) => {
      const map: Record<string, EventKind> = {};
      const unknown: string[] = [];
      for (const word of column.distinct) {
        const bare = word.trim().replace(BESIDE, "").trim();
        const kind = WORDS.find(([, pattern]) => pattern.test(word.trim()) || pattern.test(bare))?.[0];
        if (kind === undefined) unknown.push(word);
        else map[word] = kind;
      }
      return { column, map, unknown };
    })
    .filter(({ map }) => Object.values(map).includes("enable"));
  return (
    read.sort(
      (a, b) =>
        Number(NAMES.event.test(b.column.name)) - Number(NAMES.event.test(a.column.name)) || a.unknown.length - b.unknown.length,
    )[0] ?? null
  );
}
