// How each rule has done: what became of its findings, and whether it raises more grave and high ones than anybody walks for.
import type { FindingRule } from "../../shared/finding-rules.ts";
import type { Finding } from "./index.ts";
import type { Review, Reviewed, ReviewState } from "./reviews.ts";
import type { Severity } from "./rule.ts";

export interface TrackRecord {
  rule: FindingRule;
  severity: Severity;
  /** Findings of the span, by state. */
  findings: number;
  states: Record<ReviewState, number>;
  /** Of the whole store: findings that were reviewed, and how many of them were dismissed. */
  reviewed: number;
  dismissed: number;
  /** Grave and high ones, a week of the span. */
  pressingPerWeek: number;
  advice: string | null;
}

/** A rule is asked about from so many reviews and such a share of dismissals on: eight of ten is more than bad luck. */
const LEAST_REVIEWED = 5;
const DISMISSED_SHARE = 0.7;
/** Grave and high findings of all rules a week: one evening's walk. */
export const PRESSING_PER_WEEK = 1;
/** A short span is no rate. */
const LEAST_WEEKS = 4;
/**
 * Of the alarms of a well-kept system about 5 % are of the highest priority, 15 % of the middle one, 80 % of the lowest: EEMUA 191,
 * Alarm systems, a guide to design, management and procurement; told from memory.
 */
export const YARDSTICK = { pressing: 0.05, medium: 0.15, low: 0.8 } as const;

export interface Pressure {
  weeks: number;
  pressingPerWeek: number;
  budgetPerWeek: number;
  /** Shares of the span's findings beside those of a well-kept alarm system. */
  shares: { pressing: number | null; medium: number | null; low: number | null };
  yardstick: typeof YARDSTICK;
}

const isPressing = ({ severity }: Pick<Finding, "severity">): boolean => severity === "grave" || severity === "high";

export function pressureOf(findings: readonly Finding[], weeks: number): Pressure {
  const share = (count: number) => (findings.length === 0 ? null : count / findings.length);
  const pressing = findings.filter(isPressing).length;
  return {
    weeks,
    pressingPerWeek: pressing / weeks,
    budgetPerWeek: PRESSING_PER_WEEK,
    shares: {
      pressing: share(pressing),
      medium: share(findings.filter(({ severity }) => severity === "medium").length),
      low: share(findings.filter(({ severity }) => severity === "low").length),
    },
    yardstick: YARDSTICK,
  };
}

/** One record for each rule that is on, in the order given. Over the budget, the rule that takes most of it is asked to be tuned. */
export function trackRecords(
  rules: readonly { name: FindingRule; severity: Severity }[],
  findings: readonly (Finding & Reviewed)[],
  reviews: readonly Review[],
  weeks: number,
): TrackRecord[] {
  const pressure = pressureOf(findings, weeks);
  const records = rules.map(({ name, severity }): TrackRecord => {
    const own = findings.filter(({ rule }) => rule === name);
    const said = reviews.filter(({ rule, state }) => rule === name && state !== "open");
    const states: TrackRecord["states"] = { open: 0, explained: 0, acted: 0, dismissed: 0 };
    for (const { state } of own) states[state] += 1;
    return {
      rule: name,
      severity,
      findings: own.length,
      states,
      reviewed: said.length,
      dismissed: said.filter(({ state }) => state === "dismissed").length,
      pressingPerWeek: own.filter(isPressing).length / weeks,
      advice: null,
    };
  });
  const busiest = Math.max(...records.map(({ pressingPerWeek }) => pressingPerWeek));
  const isOver = weeks >= LEAST_WEEKS && pressure.pressingPerWeek > PRESSING_PER_WEEK;
  return records.map((record) => ({
    ...record,
    advice: adviceOf(record, isOver && record.pressingPerWeek === busiest && busiest > 0 ? pressure.pressingPerWeek : null),
  }));
}

function adviceOf({ rule, reviewed, dismissed, pressingPerWeek }: TrackRecord, overBy: number | null): string | null {
  const said: string[] = [];
  if (reviewed >= LEAST_REVIEWED && dismissed >= DISMISSED_SHARE * reviewed)
    said.push(`${dismissed} of ${reviewed} dismissed: loosen ${rule} in the workshop file?`);
  if (overBy !== null)
    said.push(
      `${overBy.toFixed(1)} grave and high findings a week, where ${PRESSING_PER_WEEK} is what gets walked for; ${pressingPerWeek.toFixed(1)} of them are of ${rule}: tune it, or mend what raises it`,
    );
  return said.length === 0 ? null : said.join(". ");
}
