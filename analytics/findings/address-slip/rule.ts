// A jumper slipped: an unused address one jumper away speaks where a station went quiet.
import { rule } from "../rule.ts";
import { LEAST_WEIGHT, silences } from "../silent-station/silences.ts";
import { slippedAddresses } from "./slips.ts";

export const addressSlip = rule({
  name: "address-slip",
  version: 1,
  severity: "medium",
  summary: "an unused address one jumper away speaks where a station went quiet",
  defaults: { false_discovery: 0.1 },
  why: "A station that moved to an address no machine has is silent under its own for just as long. A silence that happens once in 150 is enough here, since an unused address that begins and ends with it is rare by itself.",
  weighty: ["station", "isOver"],
  async find(asked) {
    const { silences: all } = await silences(asked);
    const slips = await slippedAddresses(asked, all);
    return slips.map(({ silence, station, jumper, firstHeard, lastHeard, lines }) => ({
      key: `${silence.station} ${station} ${firstHeard.toISOString()}`,
      machine: silence.machine,
      group: null,
      room: null,
      station,
      badge: null,
      from: firstHeard,
      until: lastHeard,
      score: silence.weight / Math.LN10,
      expectedFalse: Math.exp(-LEAST_WEIGHT) * asked.knobs.false_discovery * slips.length,
      evidence: {
        text: `Address ${station}, which no machine has, spoke ${lines} times while station ${silence.station} of ${silence.machineName} was not heard. The two differ by one jumper, the one worth ${jumper}.`,
        unknown:
          "The log can't see the jumper: look at the board before you change anything. Until it is set right, or the address is given to the machine in the workshop file, this use is counted for nobody's machine.",
        figures: {
          station: silence.station,
          jumper,
          lines,
          lastHeardBefore: silence.lastHeard.toISOString(),
          isOver: silence.nextHeard === null ? "no" : "yes",
        },
      },
    }));
  },
});
