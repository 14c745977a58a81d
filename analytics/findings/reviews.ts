// What was said of findings, put to those that the log shows now: known again by id, else by place and time, and brought back where
// the evidence has changed since.
import type { Finding } from "./index.ts";
import { type Figure, SEVERITIES, type Severity } from "./rule.ts";

export const REVIEW_STATES = ["open", "explained", "acted", "dismissed"] as const;
export type ReviewState = (typeof REVIEW_STATES)[number];

/** The last review of a finding, with what the finding was then. */
export interface Review {
  findingId: string;
  state: ReviewState;
  note: string;
  by: string;
  enteredAt: Date;
  rule: string;
  severity: Severity;
  machine: string | null;
  group: string | null;
  station: string | null;
  badge: string | null;
  from: Date;
  until: Date;
  figures: Record<string, Figure>;
}

export interface Reviewed {
  state: ReviewState;
  review: { state: ReviewState; note: string; by: string; at: Date } | null;
  /** It was reviewed, and its evidence has changed since: it is open again. */
  hasChanged: boolean;
}

/** A figure that moved by less than this share is the same evidence. */
const SAME_WITHIN = 0.1;
/** So much may a start move, and still the finding be known by place and time. */
const SHIFT_MS = 10 * 60_000;

/**
 * The findings with their reviews. One that no review names, but whose rule, place and time meet one whose own finding is gone,
 * takes over that one's id: the logs were read again and its start came out a little different. `weighty` are the figures that
 * count as evidence, all where null.
 */
export function withReviews<F extends Finding>(
  findings: readonly F[],
  reviews: readonly Review[],
  weighty: (rule: string) => readonly string[] | null,
): (F & Reviewed)[] {
  const byId = new Map(reviews.map((review) => [review.findingId, review]));
  const present = new Set(findings.map(({ id }) => id));
  const orphans = reviews.filter(({ findingId }) => !present.has(findingId));
  return findings.map((finding) => {
    const review = byId.get(finding.id) ?? adopted(finding, orphans);
    if (review === undefined) return { ...finding, state: "open", review: null, hasChanged: false };
    const hasChanged = review.state !== "open" && isOtherEvidence(finding, review, weighty(finding.rule));
    return {
      ...finding,
      id: review.findingId,
      state: hasChanged ? "open" : review.state,
      review: { state: review.state, note: review.note, by: review.by, at: review.enteredAt },
      hasChanged,
    };
  });
}

/** The orphan that this finding continues, which no other finding may take then. */
function adopted(finding: Finding, orphans: Review[]): Review | undefined {
  const at = orphans.findIndex(
    (review) =>
      review.rule === finding.rule &&
      review.machine === finding.machine &&
      review.group === finding.group &&
      review.station === finding.station &&
      review.badge === finding.badge &&
      Math.abs(review.from.getTime() - finding.from.getTime()) <= SHIFT_MS &&
      review.from <= finding.until &&
      finding.from <= review.until,
  );
  return at < 0 ? undefined : orphans.splice(at, 1)[0];
}

function isOtherEvidence(finding: Finding, review: Review, weighty: readonly string[] | null): boolean {
  if (SEVERITIES.indexOf(finding.severity) > SEVERITIES.indexOf(review.severity)) return true;
  const names = weighty ?? [...new Set([...Object.keys(finding.evidence.figures), ...Object.keys(review.figures)])];
  return names.some((name) => isOtherFigure(finding.evidence.figures[name] ?? null, review.figures[name] ?? null));
}

function isOtherFigure(now: Figure, then: Figure): boolean {
  if (typeof now !== "number" || typeof then !== "number") return now !== then;
  return Math.abs(now - then) > SAME_WITHIN * Math.max(Math.abs(now), Math.abs(then));
}
