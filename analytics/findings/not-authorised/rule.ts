// A machine used by a listed badge that the roster doesn't allow it, or not at that time.
import { ask, question } from "../../../shared/question.ts";
import { clashes, isInClash } from "../address-clash/clashes.ts";
import { boundsOfSpan, EXACT, rule } from "../rule.ts";
import { minutesText } from "../sentences.ts";

const sessionsNotAllowed = question(import.meta.url, "./sessions-not-allowed.sql");

interface Row {
  machine: string;
  machineName: string;
  station: string;
  badge: string;
  from: Date;
  until: Date;
  isEndSeen: boolean;
  why: "early" | "late" | "between" | "machine";
  validFrom: string | null;
  validUntil: string | null;
}

export const notAuthorised = rule({
  name: "not-authorised",
  version: 1,
  severity: "medium",
  summary: "a machine was used by a badge that the roster doesn't allow it",
  defaults: {},
  why: "The roster is the workshop's own word: there is nothing to be tuned. A badge that isn't on it at all is the business of unlisted-badge. While two stations answer to one address nothing is said: nobody knows which machine it was.",
  weighty: ["why"],
  async find(asked) {
    if (!asked.workshop.hasRoster) return [];
    const rows = await ask<Row>(asked.connection, sessionsNotAllowed, { ...boundsOfSpan(asked), zone: asked.zone });
    const muddled = await clashes(asked);
    const certain = rows.filter(({ station, from }) => !isInClash(muddled, station, from));
    return certain.map((row) => ({
      key: `${row.station} ${row.badge} ${row.from.toISOString()}`,
      machine: row.machine,
      station: row.station,
      badge: row.badge,
      from: row.from,
      until: row.until,
      ...EXACT,
      evidence: {
        text: `Badge ${row.badge} had ${row.machineName} enabled for ${row.isEndSeen ? "" : "about "}${minutesText((row.until.getTime() - row.from.getTime()) / 60_000)}; ${reasonOf(row)}.`,
        unknown:
          "The log can't know whether the roster is behind (an induction not yet written down), whether an instructor stood beside, or who held the badge. The station let it in, so its own list may be out of date.",
        figures: { why: row.why, validFrom: row.validFrom, validUntil: row.validUntil },
      },
    }));
  },
});

function reasonOf({ why, validFrom, validUntil }: Row): string {
  switch (why) {
    case "machine":
      return "the roster allows it other machines";
    case "early":
      return `on the roster it is valid from ${validFrom}`;
    case "late":
      return `on the roster it was valid until ${validUntil}`;
    case "between":
      return `on the roster it was valid until ${validUntil} and again from ${validFrom}`;
  }
}
