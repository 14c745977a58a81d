// Reviews of findings: what was said, by whom, when. They are only ever added.
import type { Finding, Reviewed, ReviewState } from "../../analytics/index.ts";
import { ask, perform, question, UsageError } from "../../shared/index.ts";
import type { Desk } from "../commands/command.ts";
import { entering } from "../service/entry.ts";
import { findingsOf } from "./findings-of.ts";

const nextIds = question(import.meta.url, "./next-id.sql");
const insertReview = question(import.meta.url, "./insert-review.sql");

export interface TypedReview {
  id: string;
  state: ReviewState;
  note?: string | undefined;
  by?: string | undefined;
}

/** Adds a review of the finding with that id (looked for within the desk's span) and gives the finding as it is known now. */
export async function addReview(desk: Desk, { id, state, note, by }: TypedReview): Promise<Finding & Reviewed> {
  if (state !== "open" && (note === undefined || note.trim() === ""))
    throw new UsageError({ field: "note", value: note ?? null, expected: "a word on why, for whoever reads the list next" });
  const finding = (await findingsOf(desk)).findings.find((each) => each.id === id);
  if (finding === undefined)
    throw new UsageError({ field: "id", value: id, expected: "the id of a finding, as findings shows it" });
  const now = new Date();
  const who = by ?? desk.surroundings.who;
  await entering(desk, async () => {
    const [next] = await ask<{ review: number }>(desk.connection, nextIds);
    await perform(desk.connection, insertReview, {
      review_id: next!.review,
      finding_id: id,
      state,
      note: note ?? "",
      by: who,
      at: now,
      rule: finding.rule,
      severity: finding.severity,
      machine: finding.machine,
      group: finding.group,
      station: finding.station,
      badge: finding.badge,
      from: finding.from,
      until: finding.until,
      figures: JSON.stringify(finding.evidence.figures),
    });
  });
  return { ...finding, state, review: { state, note: note ?? "", by: who, at: now }, hasChanged: false };
}
