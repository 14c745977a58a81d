// Settings of a station changed out of hours, or by a badge that isn't on the roster.
import { ask, question } from "../../../shared/question.ts";
import { boundsOfSpan, EXACT, rule } from "../rule.ts";
import { listText } from "../sentences.ts";

const changes = question(import.meta.url, "./changes.sql");

interface Row {
  station: string;
  machine: string | null;
  machineName: string | null;
  badge: string | null;
  detail: string | null;
  from: Date;
  until: Date;
  isClosed: boolean;
  isUnlisted: boolean;
}

export const settingsChange = rule({
  name: "settings-change",
  version: 1,
  severity: "high",
  summary: "a station's settings were changed out of hours or by an unlisted badge",
  defaults: {},
  why: "Settings are changed a few times a year, by few, and in opening hours: whatever is not so is worth a question, and there is nothing to be tuned.",
  weighty: ["detail"],
  async find(asked) {
    const { hasHours, hasRoster } = asked.workshop;
    const rows = await ask<Row>(asked.connection, changes, {
      ...boundsOfSpan(asked),
      has_hours: hasHours,
      has_roster: hasRoster,
    });
    return rows.map((row) => {
      const reasons = [
        ...(row.isClosed ? ["while the workshop was closed"] : []),
        ...(row.isUnlisted
          ? [row.badge === null ? "without a badge" : `by badge ${row.badge}, which is not on the roster`]
          : row.badge === null
            ? []
            : [`by badge ${row.badge}`]),
      ];
      return {
        key: `${row.station} ${row.badge ?? ""} ${row.from.toISOString()} ${row.detail ?? ""}`,
        machine: row.machine,
        station: row.station,
        badge: row.badge,
        from: row.from,
        until: row.until,
        ...EXACT,
        evidence: {
          text: `A setting of ${row.machineName ?? `station ${row.station}`} was changed (${row.detail ?? "the log doesn't say what"}) ${listText(reasons)}.`,
          unknown: "The log can't know who held the badge, nor whether the change was agreed on. Look what the setting is now.",
          figures: { detail: row.detail, isClosed: row.isClosed ? "yes" : "no", isUnlisted: row.isUnlisted ? "yes" : "no" },
        },
      };
    });
  },
});
