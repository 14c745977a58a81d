// A badge that the roster doesn't know.
import { ask, question } from "../../../shared/question.ts";
import { boundsOfSpan, EXACT, rule } from "../rule.ts";
import { listText } from "../sentences.ts";

const strangers = question(import.meta.url, "./strangers.sql");

interface Row {
  badge: string;
  night: string;
  from: Date;
  until: Date;
  enabled: number;
  refused: number;
  changed: number;
  station: string;
  machine: string | null;
  machineName: string | null;
  stations: number;
}

const times = (count: number) => (count === 1 ? "once" : `${count} times`);

export const unlistedBadge = rule({
  name: "unlisted-badge",
  version: 1,
  severity: "medium",
  summary: "a badge that is not on the roster was read",
  defaults: {},
  why: "The roster is the workshop's own word: there is nothing to be tuned. A badge that was only refused is a lesser matter than one that a station let in.",
  weighty: ["enabled", "changed"],
  async find(asked) {
    if (!asked.workshop.hasRoster) return [];
    const rows = await ask<Row>(asked.connection, strangers, { ...boundsOfSpan(asked), zone: asked.zone });
    return rows.map((row) => {
      const { enabled, refused, changed } = row;
      const deeds = [
        ...(enabled > 0 ? [`enabled a machine ${times(enabled)}`] : []),
        ...(refused > 0 ? [`was refused ${times(refused)}`] : []),
        ...(changed > 0 ? [`changed settings ${times(changed)}`] : []),
      ];
      return {
        key: `${row.badge} ${row.night}`,
        machine: row.machine,
        station: row.station,
        badge: row.badge,
        from: row.from,
        until: row.until,
        ...(enabled + changed > 0 ? {} : { severity: "low" as const }),
        ...EXACT,
        evidence: {
          text: `Badge ${row.badge} is not on the roster; it ${listText(deeds.length > 0 ? deeds : ["was read"])} at ${row.machineName ?? `station ${row.station}`}${row.stations > 1 ? ` and ${row.stations - 1} more` : ""}.`,
          unknown:
            "The log can't know whose badge it is: a new member not yet written down, a replaced badge, a number that was misread, or a stranger.",
          figures: { enabled, refused, changed, stations: row.stations },
        },
      };
    });
  },
});
