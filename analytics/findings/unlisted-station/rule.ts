// A station that the workshop file doesn't know.
import { ask, question } from "../../../shared/question.ts";
import { boundsOfSpan, EXACT, rule } from "../rule.ts";

const spells = question(import.meta.url, "./spells.sql");

interface Row {
  station: string;
  from: Date;
  until: Date;
  lines: number;
  sessions: number;
  signs: number;
}

export const unlistedStation = rule({
  name: "unlisted-station",
  version: 1,
  severity: "low",
  summary: "a station spoke that no machine of the workshop file claims",
  defaults: {},
  why: "The workshop file is the workshop's own word: there is nothing to be tuned. A week's silence ends a spell, so that a station used now and then is one line here, not one a day. With sessions it is graver than with signs of life alone: their hours count for no machine.",
  weighty: ["hasSessions"],
  async find(asked) {
    const rows = await ask<Row>(asked.connection, spells, boundsOfSpan(asked));
    return rows.map((row) => ({
      key: `${row.station} ${row.from.toISOString()}`,
      machine: null,
      station: row.station,
      badge: null,
      from: row.from,
      until: row.until,
      ...(row.sessions > 0 ? { severity: "medium" as const } : {}),
      ...EXACT,
      evidence: {
        text: `Station ${row.station} spoke (${row.lines} lines, ${row.sessions} of them a badge accepted, and ${row.signs} signs of life), and no machine of the workshop file claims it at that time.`,
        unknown:
          "The log can't know whether this is a new machine, a board on the bench, a station whose jumpers were set wrongly, or a line that was misread.",
        figures: { lines: row.lines, sessions: row.sessions, signs: row.signs, hasSessions: row.sessions > 0 ? "yes" : "no" },
      },
    }));
  },
});
