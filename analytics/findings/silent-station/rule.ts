// A station that is not heard though it should have been.
import { slippedAddresses } from "../address-slip/slips.ts";
import { rule } from "../rule.ts";
import { minutesText } from "../sentences.ts";
import { tooSilent } from "./judge.ts";
import { silences } from "./silences.ts";

export const silentStation = rule({
  name: "silent-station",
  version: 1,
  severity: "medium",
  summary: "a station was not heard for far longer than its rhythm allows",
  defaults: { false_discovery: 0.1 },
  why: "Each station is held against its own habit: how often it is heard in each quarter of each day of the week, open or closed, by use or by signs of life. Outages and hours in which hardly any station was heard (a power cut, the server down) don't count. One station that reports every six hours is told after about eighteen.",
  weighty: ["isOver"],
  async find(asked) {
    const { silences: all, tests } = await silences(asked);
    const { silences: found, expectedFalse } = tooSilent(all, { rate: asked.knobs.false_discovery, tests });
    const slips = await slippedAddresses(asked, found);
    return found
      .filter((one) => !slips.some(({ silence }) => silence === one))
      .map((one) => {
        const until = one.nextHeard ?? asked.asOf;
        const hours = (until.getTime() - one.lastHeard.getTime()) / 3.6e6;
        const howLong = hours < 48 ? minutesText(hours * 60) : `${Math.round(hours / 24)} days`;
        return {
          key: `${one.station} ${one.lastHeard.toISOString()}`,
          machine: one.machine,
          group: null,
          room: null,
          station: one.station,
          badge: null,
          from: one.lastHeard,
          until,
          score: one.weight / Math.LN10,
          expectedFalse,
          evidence: {
            text: `Station ${one.station} of ${one.machineName} ${one.nextHeard === null ? "has not been heard" : "was not heard"} for ${howLong}, ${one.blocks} quarter days in which it usually is.`,
            unknown:
              "The log can't know whether the station had no power, no radio, or nobody used it. While it is silent its use is not counted, and the machine may still be enabled by a badge.",
            figures: { hours, quarterDays: one.blocks, isOver: one.nextHeard === null ? "no" : "yes" },
          },
        };
      });
  },
});
