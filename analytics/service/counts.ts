// Where a task's count begins: its last record, or that of a task that begins it anew, or the part's fitting, or the log's first
// day. Pure: it thinks on records at hand, in whatever order they were entered.
import type { Range } from "../../shared/errors.ts";
import type { Limit, ServiceRecord, Task, UseBasis } from "./tasks.ts";

/** A stretch of use that counts: from one instant to another, or until now. */
export interface Stint {
  from: Date;
  until: Date | null;
}

export interface Count {
  /** `record`, `fitted` (the part's fitting), `start` (so much used when the log began), or `unknown`. */
  begins: "record" | "fitted" | "start" | "unknown";
  /** The record that began it. */
  record: ServiceRecord | null;
  /** It began between the two; equal where that is known. Of `start` and `unknown` null: when the log begins. */
  from: Date | null;
  until: Date | null;
  /** Used before that, in the part's own unit. */
  before: { basis: UseBasis; used: Range } | null;
  /** Earlier stints of the same piece in this machine, by its serial. */
  earlier: Stint[];
  /** Times that the task was done since the part was new, as far as known. */
  timesDone: number;
  /** Whether the part is new and this task not yet done on it. */
  isFirst: boolean;
  lastDone: ServiceRecord | null;
}

const endOf = ({ doneAt, doneUntil }: ServiceRecord): number => (doneUntil ?? doneAt).getTime();

/** The later of two by the time they were surely done, then by the time from which they may have been. */
const isLater = (a: ServiceRecord, b: ServiceRecord): boolean =>
  endOf(a) > endOf(b) || (endOf(a) === endOf(b) && a.doneAt.getTime() > b.doneAt.getTime());

const latest = (records: readonly ServiceRecord[]): ServiceRecord | null =>
  records.reduce<ServiceRecord | null>((best, record) => (best === null || isLater(record, best) ? record : best), null);

/** The tasks of a part that a record of one of them begins anew: itself, what it resets, and all where the part is renewed. */
export function begunAnewBy(task: Task, siblings: readonly Task[]): Set<string> {
  return new Set(task.renews ? siblings.map((sibling) => sibling.task) : [task.task, ...task.resets]);
}

/** The unit in which the part itself ages: that of the first limit of what renews it, else of its first task. */
export function ownUnit(siblings: readonly Task[]): UseBasis | null {
  const renewing = siblings.find(({ renews, limits }) => renews && limits.length > 0);
  return (renewing ?? siblings.find(({ limits }) => limits.length > 0))?.limits[0]?.basis ?? null;
}

/** Where the count of a task begins. `siblings` are all tasks of its part, `records` all known ones of the part. */
export function countOf(task: Task, siblings: readonly Task[], records: readonly ServiceRecord[]): Count {
  const resetting = new Set(siblings.filter((other) => begunAnewBy(other, siblings).has(task.task)).map((other) => other.task));
  const renewing = new Set(siblings.filter(({ renews }) => renews).map((other) => other.task));
  const last = latest(records.filter((record) => resetting.has(record.task)));
  const renewed = latest(records.filter((record) => renewing.has(record.task)));
  const own = records.filter((record) => record.task === task.task);
  const doneSince = own.filter((record) => renewed === null || endOf(record) > endOf(renewed));
  const lastDone = latest(own);
  const shared = {
    timesDone: doneSince.length,
    isFirst: !task.renews && doneSince.length === 0 && (renewed !== null || task.fittedAt !== null),
    lastDone,
    earlier: [],
    before: null,
  };
  if (last !== null) {
    return {
      ...shared,
      begins: "record",
      record: last,
      from: last.doneAt,
      until: last.doneUntil ?? last.doneAt,
      earlier: task.renews && renewing.has(last.task) ? earlierStints(last, records, renewing) : [],
    };
  }
  if (task.fittedAt !== null) {
    return { ...shared, begins: "fitted", record: null, from: task.fittedAt, until: task.fittedAt };
  }
  const nothing = { ...shared, record: null, from: null, until: null };
  const unit = ownUnit(siblings);
  if (task.usedAtStart !== null && task.renews && unit !== null) {
    return { ...nothing, begins: "start", before: { basis: unit, used: task.usedAtStart } };
  }
  // A part that nothing renews has its known age for its first task.
  const ages = !siblings.some(({ renews }) => renews) && siblings[0]?.task === task.task;
  if (task.usedAtStart !== null && ages && unit !== null) {
    return { ...nothing, begins: "start", before: { basis: unit, used: task.usedAtStart } };
  }
  return { ...nothing, begins: "unknown" };
}

/** The stints of the piece that `last` put in, before it came back: pieces that rotate between shelf and machine. */
function earlierStints(last: ServiceRecord, records: readonly ServiceRecord[], renewing: ReadonlySet<string>): Stint[] {
  if (last.serial === null) return [];
  const changes = records.filter((record) => renewing.has(record.task)).sort((a, b) => (isLater(a, b) ? 1 : -1));
  return changes.flatMap((record, i) => {
    const next = changes[i + 1];
    if (record.serial !== last.serial || next === undefined || record === last) return [];
    return [{ from: new Date(endOf(record)), until: next.doneAt }];
  });
}

/** What a task is counted by now: its early first interval where it is due first, else the usual one. */
export function limitsNow(task: Task, { isFirst }: Count): { basis: UseBasis; interval: number; isFirst: boolean }[] {
  const early = isFirst ? task.limits.filter(({ firstAfter }) => firstAfter !== null) : [];
  const chosen: readonly Limit[] = early.length > 0 ? early : task.limits;
  return chosen.flatMap(({ basis, every, firstAfter }) => {
    const interval = early.length > 0 ? firstAfter : every;
    return interval === null ? [] : [{ basis, interval, isFirst: early.length > 0 }];
  });
}

/** What an inspection found that nobody has put right since, and which task would. */
export interface Found {
  record: ServiceRecord;
  remedy: string;
}

/**
 * A part found worn, failed or damaged when somebody looked is due now, whatever the hours say. The remedy of something worn is the
 * mildest task that may still be done (sharpen before replace, unless it was done as often as it may be); of something broken, the
 * one that renews the part. Null where nothing was found, or a task that mends was done since.
 */
export function foundAtInspection(siblings: readonly Task[], records: readonly ServiceRecord[]): Found | null {
  const byId = new Map(siblings.map((task) => [task.task, task]));
  const looked = latest(records.filter((record) => byId.get(record.task)?.inspects));
  if (looked === null || !["worn", "failed", "damaged"].includes(looked.found)) return null;
  const mended = records.some((record) => byId.get(record.task)?.inspects === false && endOf(record) >= endOf(looked));
  if (mended) return null;
  const mending = siblings.filter(({ inspects }) => !inspects);
  const renewing = mending.find(({ renews }) => renews);
  const mild = mending.find((task) => {
    if (task.renews) return false;
    return task.atMost === null || countOf(task, siblings, records).timesDone < task.atMost;
  });
  const remedy = looked.found === "worn" ? (mild ?? renewing) : (renewing ?? mild);
  return remedy === undefined ? null : { record: looked, remedy: remedy.task };
}
