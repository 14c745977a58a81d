// A machine enabled while it was tagged out of order or away: someone may have their hands in it.
import { ask, question } from "../../../shared/question.ts";
import { boundsOfSpan, EXACT, rule } from "../rule.ts";
import { minutesText } from "../sentences.ts";

const sessionsInOutages = question(import.meta.url, "./sessions-in-outages.sql");

interface Row {
  machine: string;
  machineName: string;
  station: string;
  badge: string | null;
  from: Date;
  until: Date;
  isEndSeen: boolean;
  outFrom: Date;
  reason: string | null;
  minutesInside: number;
}

export const enabledWhileOut = rule({
  name: "enabled-while-out",
  version: 1,
  severity: "grave",
  summary: "a machine was enabled while it was tagged out of order",
  defaults: { slack_seconds: 900 },
  why: "Whoever finds the fault often tags the machine with the badge still in: a session that was running then gets a quarter of an hour to end. A session that begins within an outage is told at once.",
  isUrgent: true,
  async find(asked) {
    const rows = await ask<Row>(asked.connection, sessionsInOutages, {
      ...boundsOfSpan(asked),
      slack_seconds: asked.knobs.slack_seconds,
    });
    return rows.map((row) => ({
      key: `${row.station} ${row.badge ?? ""} ${row.from.toISOString()}`,
      machine: row.machine,
      station: row.station,
      badge: row.badge,
      from: row.from,
      until: row.until,
      ...EXACT,
      evidence: {
        text: `${row.machineName} was tagged out${row.reason === null ? "" : ` (${row.reason})`} and its circuit was closed for ${minutesText(row.minutesInside)} meanwhile${row.badge === null ? "" : `, with badge ${row.badge} in the holder`}.${row.isEndSeen ? "" : " Its end was not seen; the length is an estimate."}`,
        unknown:
          "The log can't know whether this was a test during the repair, whether the tag was out of date, or whether anybody was near the machine. A tag in this list is no lock at the isolator.",
        figures: { minutesInside: row.minutesInside, outFrom: row.outFrom.toISOString(), reason: row.reason },
      },
    }));
  },
});
