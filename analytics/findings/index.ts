// What is worth a walk: runs the rules that are switched on, gives each finding its id and what was said of it in reviews. A rule is
// a folder here; start reading at rule.ts.
import { createHash } from "node:crypto";
import type { DuckDBConnection } from "@duckdb/node-api";
import type { FindingRule } from "../../shared/finding-rules.ts";
import type { FindingSwitch } from "../../shared/findings-switches.ts";
import { ask, question } from "../../shared/question.ts";
import { type Review, type Reviewed, withReviews } from "./reviews.ts";
import type { Asked, Found, Rule, Severity } from "./rule.ts";
import { rules } from "./rules.ts";
import { type Pressure, pressureOf, type TrackRecord, trackRecords } from "./track-record.ts";

const reviewsQuestion = question(import.meta.url, "./reviews.sql");
const logFrom = question(import.meta.url, "./log-from.sql");
const machinesQuestion = question(import.meta.url, "./machines.sql");

export type FindingsSwitches = Partial<Record<FindingRule, FindingSwitch | undefined>>;

export interface FindingsAsked extends Omit<Asked, "connection" | "knobs" | "knobsOf" | "once"> {
  readonly switches: FindingsSwitches;
  /** Only these rules; all that are on where not given. */
  readonly only?: readonly FindingRule[] | undefined;
  /** Reviews entered later are not known; all are where null. */
  readonly reviewsUntil: Date | null;
}

export interface Finding {
  id: string;
  rule: FindingRule;
  severity: Severity;
  machine: string | null;
  group: string | null;
  room: string | null;
  station: string | null;
  badge: string | null;
  from: Date;
  until: Date;
  score: number | null;
  expectedFalse: number;
  evidence: Found["evidence"];
}

/** The rules that the workshop file leaves switched on, each with the knobs it runs by. */
export function rulesInUse({
  switches,
  only,
}: Pick<FindingsAsked, "switches" | "only">): { rule: Rule; knobs: Asked["knobs"] }[] {
  return rules
    .filter(({ name }) => (switches[name]?.on ?? true) && (only?.includes(name) ?? true))
    .map((rule) => {
      const { on: _, ...set } = switches[rule.name] ?? { on: true };
      const given = Object.fromEntries(Object.entries(set).filter(([, value]) => value !== undefined));
      return { rule, knobs: { ...rule.defaults, ...given } };
    });
}

export interface Surveyed {
  findings: (Finding & Reviewed)[];
  /** One for each rule that was asked. */
  records: TrackRecord[];
  pressure: Pressure;
}

/** All findings that overlap the span with what was said of them, ordered by time, then station; and how the rules have done. */
export async function findings(connection: DuckDBConnection, asked: FindingsAsked): Promise<Surveyed> {
  const found = await foundByRules(connection, asked);
  const reviews = await reviewsOf(connection, asked.reviewsUntil);
  const list = withReviews(found, reviews, weightyOf);
  const weeks = await weeksOf(connection, asked);
  const inUse = rulesInUse(asked).map(({ rule }) => rule);
  return { findings: list, records: trackRecords(inUse, list, reviews, weeks), pressure: pressureOf(list, weeks) };
}

/** How many weeks the span has; a day at least. */
async function weeksOf(connection: DuckDBConnection, { since, until, asOf }: FindingsAsked): Promise<number> {
  const [log] = since === undefined ? await ask<{ from: Date | null }>(connection, logFrom) : [];
  const from = since ?? log?.from ?? asOf;
  const to = until !== undefined && until < asOf ? until : asOf;
  return Math.max(1 / 7, (to.getTime() - from.getTime()) / 604_800_000);
}

/** The same without their reviews. */
export async function foundByRules(connection: DuckDBConnection, asked: Omit<FindingsAsked, "reviewsUntil">): Promise<Finding[]> {
  const { switches: _, only: __, ...span } = asked;
  const places = new Map(
    (await ask<{ machine: string; group: string; room: string | null }>(connection, machinesQuestion)).map((row) => [
      row.machine,
      row,
    ]),
  );
  const shared = new Map<string, Promise<unknown>>();
  const once = <T>(name: string, work: () => Promise<T>): Promise<T> => {
    const begun = shared.get(name) ?? work();
    shared.set(name, begun);
    return begun as Promise<T>;
  };
  const inUse = rulesInUse({ switches: asked.switches });
  const knobsOf = (name: FindingRule) => inUse.find(({ rule }) => rule.name === name)?.knobs ?? null;
  const all: Finding[] = [];
  for (const { rule, knobs } of rulesInUse(asked)) {
    for (const found of await rule.find({ ...span, connection, knobs, knobsOf, once })) {
      const place = found.machine === null ? undefined : places.get(found.machine);
      const { key, severity, machine, group, room, ...rest } = found;
      all.push({
        id: idOf(rule.name, key),
        rule: rule.name,
        severity: severity ?? rule.severity,
        machine,
        group: group ?? place?.group ?? null,
        room: room ?? place?.room ?? null,
        ...rest,
      });
    }
  }
  return all.sort(inOrder);
}

/** The last review of every finding that has one, as known at a moment; all known where null. */
export async function reviewsOf(connection: DuckDBConnection, asOf: Date | null): Promise<Review[]> {
  const rows = await ask<Omit<Review, "figures"> & { figures: string }>(connection, reviewsQuestion, { as_of: asOf });
  return rows.map(({ figures, ...review }) => ({ ...review, figures: JSON.parse(figures) as Review["figures"] }));
}

const weightyOf = (name: string): readonly string[] | null => rules.find((rule) => rule.name === name)?.weighty ?? null;

/** Short enough to type, long enough for a lifetime of findings. */
const idOf = (rule: FindingRule, key: string): string =>
  createHash("sha256").update(`${rule}\n${key}`).digest("hex").slice(0, 12);

const inOrder = (a: Finding, b: Finding): number =>
  a.from.getTime() - b.from.getTime() ||
  (a.station ?? "").localeCompare(b.station ?? "") ||
  a.rule.localeCompare(b.rule) ||
  (a.id < b.id ? -1 : a.id > b.id ? 1 : 0);
