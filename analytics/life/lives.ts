// Lives of parts from the service record: from which instant to which each lasted, and how it ended. Pure: it thinks on records at
// hand and on use that the caller has summed.

import { begunAnewBy } from "../service/counts.ts";
import type { ServiceRecord, Task } from "../service/tasks.ts";
import type { LifeEnd, PartLife } from "../stats/index.ts";

/** A stretch that a piece spent in the machine. `from` null: it was there when the log began. */
interface Stint {
  /** It was put in between the two; equal where that is known. */
  from: { at: Date; until: Date } | null;
  /** Taken out between the two; null while it is in. */
  until: { at: Date; until: Date } | null;
}

/** One life as the record tells it, in instants. */
export interface LifeSpan {
  stints: Stint[];
  end: LifeEnd;
  /** The last inspection that found it good, and the first that found it at its end. */
  lastGoodAt: Date | null;
  firstBadAt: Date | null;
  /** What put it in: a record, the part's fitting by the workshop file, or it was there when the log began. */
  begins: "record" | "fitted" | "start";
  /** Of edges: how many the part had had before since it was new; null where nobody knows. */
  edge: number | null;
}

export interface Lifespans {
  spans: LifeSpan[];
  /** Parts in the machine when the log began, whose age nobody knows. */
  leftOut: number;
}

const endOf = ({ doneAt, doneUntil }: ServiceRecord): Date => doneUntil ?? doneAt;
const wore = (found: ServiceRecord["found"]): boolean => found === "worn" || found === "failed";

/**
 * The lives that a task ends. Of a task that renews the part: from one renewal to the next, whichever task renewed it. Of another
 * (sharpening): of the edge, from the last time it was made or renewed; a renewal ends it untold. `known` is since when the log
 * knows the machine's use. A piece that comes back, by its serial, goes on with the life it had, unless it was at its end.
 */
export function lifespansOf(task: Task, siblings: readonly Task[], records: readonly ServiceRecord[], known: Date): Lifespans {
  const ending = new Set(siblings.filter((other) => begunAnewBy(other, siblings).has(task.task)).map((other) => other.task));
  const renewing = new Set(siblings.filter(({ renews }) => renews).map((other) => other.task));
  const looking = new Set(siblings.filter(({ inspects }) => inspects).map((other) => other.task));
  const inTime = [...records].sort(
    (a, b) => endOf(a).getTime() - endOf(b).getTime() || a.doneAt.getTime() - b.doneAt.getTime() || a.id - b.id,
  );
  const ends = inTime.filter((record) => ending.has(record.task));
  const looks = inTime.filter((record) => looking.has(record.task));
  const spans: LifeSpan[] = [];
  const bySerial = new Map<string, LifeSpan>();
  let leftOut = 0;

  const first = ends[0];
  let begun: Stint["from"] | "unknown" = "unknown";
  let begins: LifeSpan["begins"] = "start";
  let edge: number | null = null;
  let serial: string | null = null;
  if (task.fittedAt !== null && (first === undefined || task.fittedAt <= first.doneAt)) {
    begun = { at: task.fittedAt, until: task.fittedAt };
    begins = "fitted";
    edge = 0;
  } else if (task.renews && task.usedAtStart !== null && (first === undefined || endOf(first) > known)) begun = null;

  const lived = (record: ServiceRecord | null): void => {
    if (begun === "unknown") {
      leftOut += 1;
      return;
    }
    const since = begun === null ? known : begun.at;
    const within = looks.filter((look) => endOf(look) > since && (record === null || endOf(look) <= endOf(record)));
    const bad = within.find(({ found }) => wore(found)) ?? null;
    const good = within.filter((look) => look.found === "good" && (bad === null || endOf(look) < endOf(bad))).at(-1) ?? null;
    const span: LifeSpan = {
      stints: [{ from: begun, until: record === null ? null : { at: record.doneAt, until: endOf(record) } }],
      end: record === null ? "in-use" : endFrom(record, bad, task),
      lastGoodAt: good === null ? null : good.doneAt,
      firstBadAt: bad === null ? null : endOf(bad),
      begins,
      edge,
    };
    const before = serial === null ? undefined : bySerial.get(serial);
    if (before !== undefined && !wore(before.end as ServiceRecord["found"]) && before.end !== "damaged") {
      span.stints = [...before.stints, ...span.stints];
      span.begins = before.begins;
      spans.splice(spans.indexOf(before), 1);
    }
    if (serial !== null) bySerial.set(serial, span);
    spans.push(span);
  };

  for (const record of ends) {
    lived(record);
    begun = { at: record.doneAt, until: endOf(record) };
    begins = "record";
    edge = renewing.has(record.task) ? 0 : edge === null ? null : edge + 1;
    serial = renewing.has(record.task) && task.renews ? record.serial : null;
  }
  lived(null);
  return { spans, leftOut };
}

/** How a life ended by its record; what an inspection had found stands where nobody looked again. */
function endFrom(record: ServiceRecord, bad: ServiceRecord | null, task: Task): LifeEnd {
  // A new part in place of the old one says nothing of the old one's edge.
  if (!task.renews && record.task !== task.task) return "unknown";
  if (record.found === "unknown" && bad !== null) return bad.found;
  return record.found;
}

/** Use of the machine since an instant, in the unit of the life; null where that can't be told. */
export type UseSinceInstant = (at: Date) => number | null;

export interface Aged extends PartLife {
  /** When it was put in; null where it was there when the log began. */
  from: Date | null;
  until: Date | null;
  edge: number | null;
}

/**
 * Lives in the part's own unit. `known` as above; `isByClock`: use before that is known all the same (calendar days, machines that
 * are always on). Lives that ended before it, or without any use, are left out and counted.
 */
export function agedLives(
  { spans, leftOut }: Lifespans,
  since: UseSinceInstant,
  { known, isByClock, usedAtStart }: { known: Date; isByClock: boolean; usedAtStart: number | null },
): { lives: Aged[]; leftOut: number } {
  const lives: Aged[] = [];
  let out = leftOut;
  for (const span of spans) {
    const life = agedLife(span, since, { known, isByClock, usedAtStart });
    if (life === null) out += 1;
    else lives.push(life);
  }
  return { lives, leftOut: out };
}

function agedLife(
  span: LifeSpan,
  since: UseSinceInstant,
  { known, isByClock, usedAtStart }: { known: Date; isByClock: boolean; usedAtStart: number | null },
): Aged | null {
  const first = span.stints[0]!;
  const last = span.stints.at(-1)!;
  if (!isByClock && last.until !== null && last.until.until <= known) return null;
  const middle = (when: { at: Date; until: Date }): number | null => {
    const [early, late] = [since(when.at), since(when.until)];
    return early === null || late === null ? null : (early + late) / 2;
  };
  // Use up to an instant within the last stint: whole earlier stints, and what of the last one was over by then.
  let earlier = 0;
  for (const { from, until } of span.stints.slice(0, -1)) {
    const [a, b] = [from === null ? since(known) : middle(from), until === null ? null : middle(until)];
    if (a === null || b === null) return null;
    earlier += Math.max(0, a - b);
  }
  const begun = last.from === null ? since(known) : middle(last.from);
  if (begun === null) return null;
  const before = first.from === null ? (usedAtStart ?? Number.NaN) : 0;
  const ageAt = (at: Date): number | null => {
    const rest = since(at);
    return rest === null ? null : before + earlier + Math.max(0, begun - rest);
  };
  const young = last.until === null ? before + earlier + begun : ageAt(last.until.at);
  const old = last.until === null ? young : ageAt(last.until.until);
  const bad = span.firstBadAt === null ? null : ageAt(span.firstBadAt);
  const good = span.lastGoodAt === null ? null : ageAt(span.lastGoodAt);
  // Of what a record began and a clock counts, the whole life was watched, whenever the log began.
  const entry = span.begins === "record" && isByClock ? 0 : entryOf(first, since, { known, before });
  if (young === null || old === null || entry === null) return null;
  const isEnded = wore(span.end as ServiceRecord["found"]);
  const age = isEnded ? Math.min(old, bad ?? old) : span.end === "in-use" ? Math.min(young, bad ?? young) : young;
  const lows = [...(span.end === "worn" && good !== null ? [good] : []), ...(old > young ? [young] : [])].filter(
    (low) => low < age,
  );
  const lastGood = isEnded && lows.length > 0 ? Math.max(...lows, entry) : undefined;
  if (!Number.isFinite(age) || (isEnded && age <= 0) || age < 0 || (entry > 0 && entry >= age)) return null;
  return {
    age,
    end: span.end,
    ...(lastGood === undefined || lastGood >= age ? {} : { lastGood }),
    ...(entry > 0 ? { entry } : {}),
    from: first.from?.at ?? null,
    until: last.until?.until ?? null,
    edge: span.edge,
  };
}

/** Age when the log began, for a life that was not watched from new; 0 where it began later; null where nobody can tell. */
function entryOf({ from }: Stint, since: UseSinceInstant, { known, before }: { known: Date; before: number }): number | null {
  if (from === null) return Number.isFinite(before) ? before : null;
  const [begun, log] = [since(from.at), since(known)];
  return begun === null || log === null ? null : Math.max(0, begun - log);
}
