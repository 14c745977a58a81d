// What is sent of a grave finding: what, where and when, never a badge or a name; the rest stands on the page.
import type { Finding } from "../../analytics/index.ts";
import { isoFromDate } from "../../shared/relation.ts";

export const NOTICE =
  "This is not an alarm system: it tells what a log shows, late or not at all, and nobody watches it. Whoever is in danger calls the emergency number.";

export interface Message {
  kind: "finding";
  id: string;
  rule: string;
  severity: string;
  workshop: string;
  machine: string | null;
  machineName: string | null;
  station: string | null;
  from: string;
  until: string;
  summary: string;
  unknown: string;
  notice: string;
}

export const messageOf = (finding: Finding, summary: string, workshop: string, machineName: string | null): Message => ({
  kind: "finding",
  id: finding.id,
  rule: finding.rule,
  severity: finding.severity,
  workshop,
  machine: finding.machine,
  machineName,
  station: finding.station,
  from: isoFromDate(finding.from),
  until: isoFromDate(finding.until),
  summary,
  unknown: finding.evidence.unknown,
  notice: NOTICE,
});

/** Subject and text of a mail. */
export function mailOf(message: Message): { subject: string; text: string } {
  const place = message.machineName ?? (message.station === null ? "the workshop" : `station ${message.station}`);
  return {
    subject: `${message.workshop}: ${message.summary} (${place})`,
    text: [
      `${place}: ${message.summary}.`,
      `From ${message.from} until ${message.until} as far as is known (UTC).`,
      message.unknown,
      "An empty badge holder says nothing about the machine: isolate and lock out at the isolator before anybody reaches in.",
      `The evidence: finding ${message.id} on the page Safety, or almanac findings --rule ${message.rule}`,
      message.notice,
    ].join("\n\n"),
  };
}
