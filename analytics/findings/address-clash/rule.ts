// Two stations that answer to one address: a jumper set wrongly.
import { EXACT, rule } from "../rule.ts";
import { clashes } from "./clashes.ts";

export const addressClash = rule({
  name: "address-clash",
  version: 1,
  severity: "high",
  summary: "two stations answer to one address",
  defaults: {},
  why: "Each station counts its own lines. A counter may start anew when the power returns, but it never takes up the old numbers again: three times back and forth is two counters. Without counters in the log this can't be found.",
  weighty: [],
  async find(asked) {
    const rows = await clashes(asked);
    return rows.map((row) => ({
      key: `${row.station} ${row.from.toISOString().slice(0, 10)}`,
      machine: row.machine,
      station: row.station,
      badge: null,
      from: row.from,
      until: row.until,
      ...EXACT,
      evidence: {
        text: `Two counters took turns at address ${row.station}${row.machineName === null ? "" : ` (${row.machineName})`} ${row.returns} times, one near ${row.oneCounter}, the other near ${row.otherCounter}: two stations answer to it. Look at the jumpers of both.`,
        unknown:
          "The log can't know which of the two is the right one, nor which machine a line of these days is about: hours, sessions and permissions at this address are not to be trusted meanwhile.",
        figures: { returns: row.returns, oneCounter: row.oneCounter, otherCounter: row.otherCounter },
      },
    }));
  },
});
