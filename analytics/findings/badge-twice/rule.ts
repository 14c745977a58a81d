// One badge in two holders at once.
import { ask, question } from "../../../shared/question.ts";
import { boundsOfSpan, EXACT, rule } from "../rule.ts";
import { minutesText } from "../sentences.ts";

const overlaps = question(import.meta.url, "./overlaps.sql");

interface Row {
  badge: string;
  station: string;
  machine: string;
  machineName: string;
  otherStation: string;
  otherName: string;
  from: Date;
  until: Date;
  isEndSeen: boolean;
  startsApart: number;
}

export const badgeTwice = rule({
  name: "badge-twice",
  version: 1,
  severity: "medium",
  summary: "one badge was in two holders at once",
  defaults: { slack_seconds: 60, exempt: [] },
  why: "Stations that share one server agree to the second, those with clocks of their own to about a minute. An end that nobody saw counts from the earliest moment at which it can have been, so that a lost line makes no second badge. Pairs at which one badge may be twice (two holders of one machine) are named by `exempt`.",
  weighty: ["minutes"],
  async find(asked) {
    const rows = await ask<Row>(asked.connection, overlaps, {
      ...boundsOfSpan(asked),
      slack_seconds: asked.knobs.slack_seconds,
      exempt: JSON.stringify(asked.knobs.exempt),
    });
    return rows.map((row) => {
      const minutes = (row.until.getTime() - row.from.getTime()) / 60_000;
      return {
        key: `${row.otherStation} ${row.station} ${row.badge} ${row.from.toISOString()}`,
        machine: row.machine,
        station: row.station,
        badge: row.badge,
        from: row.from,
        until: row.until,
        ...EXACT,
        evidence: {
          text: `Badge ${row.badge} was in at ${row.otherName} (station ${row.otherStation}) and at ${row.machineName} (station ${row.station}) together for ${row.isEndSeen ? "" : "at least "}${minutesText(minutes)}.`,
          unknown:
            "The log can't know whether there are two badges with one number, whether one was left in and a copy used, or whether a station reads a badge that is not there.",
          figures: { minutes, otherStation: row.otherStation },
        },
      };
    });
  },
});
