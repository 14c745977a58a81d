// The findings of a desk's span, as every reader gets them.
import {
  type Finding,
  findings,
  type Pressure,
  type Reviewed,
  type ReviewState,
  type TrackRecord,
} from "../../analytics/index.ts";
import type { FindingRule, WorkshopFile } from "../../shared/index.ts";
import type { Desk } from "../commands/command.ts";

export interface FindingsWanted {
  only?: readonly FindingRule[] | undefined;
  state?: ReviewState | undefined;
  machine?: string | undefined;
}

export interface FindingsAnswer {
  head: { asOf: Date; records: TrackRecord[]; pressure: Pressure };
  findings: (Finding & Reviewed)[];
}

/** What rules are told of the workshop file. */
export const workshopForRules = ({ workshop, roster }: WorkshopFile) => ({
  switches: workshop.findings,
  workshop: {
    hasHours: workshop.hours !== undefined,
    hasRoster: roster.length > 0,
    addressBits: workshop.workshop.address_bits ?? null,
  },
});

export async function findingsOf(
  { connection, span, isAsOfAsked, workshop, seed }: Desk,
  { only, state, machine }: FindingsWanted = {},
): Promise<FindingsAnswer> {
  const {
    findings: list,
    records,
    pressure,
  } = await findings(connection, {
    ...span,
    ...workshopForRules(workshop),
    seed,
    only,
    reviewsUntil: isAsOfAsked ? span.asOf : null,
  });
  const wanted = list.filter(
    (finding) => (state === undefined || finding.state === state) && (machine === undefined || finding.machine === machine),
  );
  return { head: { asOf: span.asOf, records, pressure }, findings: wanted };
}
