// A clock that came back wrong after a power cut: in 1970, or at the time it had saved last.
import { EXACT, rule } from "../rule.ts";
import { minutesText } from "../sentences.ts";
import { clockJumps } from "./jumps.ts";

export const clockJump = rule({
  name: "clock-jump",
  version: 1,
  severity: "low",
  summary: "a clock was not set for a while",
  defaults: {},
  why: "Reading the log settles which lines a clock without battery stamped; every such run is told, and there is nothing to be tuned. A clock that comes back later than the last line before it leaves no trace and is not found.",
  weighty: ["stations"],
  async find(asked) {
    const rows = await clockJumps(asked);
    return rows.map((row) => ({
      key: row.from.toISOString(),
      machine: null,
      station: row.station,
      badge: null,
      from: row.from,
      until: row.until,
      ...EXACT,
      evidence: {
        text: `${row.lines} lines of ${row.stations === 1 ? "one station" : `${row.stations} stations`} were stamped by a clock that was not set${row.lagSeconds === null ? "" : `, at least ${minutesText(row.lagSeconds / 60)} behind`}. They were placed between the good lines around them.`,
        unknown:
          "The log can't know exactly when these things were, only between which moments; durations within are true. A clock that comes back behind may stay behind, unseen, until the network sets it.",
        figures: { lines: row.lines, stations: row.stations, lagSeconds: row.lagSeconds },
      },
    }));
  },
});
