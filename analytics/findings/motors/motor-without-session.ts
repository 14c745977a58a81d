// A motor that turned though no badge enabled it: a welded contactor, a bypass, a switch in the wrong place.
import { EXACT, rule } from "../rule.ts";
import { minutesText } from "../sentences.ts";
import { motorsOutside, spanOfMotor, verdictOf } from "./outside.ts";

export const motorWithoutSession = rule({
  name: "motor-without-session",
  version: 1,
  severity: "grave",
  summary: "a motor turned though no badge had enabled it",
  defaults: { slack_seconds: 20 },
  why: "The sensor and the holder share one station, so their lines are seconds apart at most; twenty seconds allow for lines that change places. Nothing is said where the station's counter has a gap just before, or a badge left that was never seen to come: then the line of the badge was lost, which happens to a few lines in ten thousand.",
  weighty: ["minutes"],
  isUrgent: true,
  async find(asked) {
    const motors = (await motorsOutside(asked)).filter((motor) => verdictOf(motor, asked.asOf) === "motor-without-session");
    return motors.map((motor) => {
      const minutes = (motor.until.getTime() - motor.from.getTime()) / 60_000;
      const { machineName, badge } = motor;
      const length = motor.isStopSeen ? `for ${minutesText(minutes)}` : "and its stop was not seen";
      return {
        key: `${motor.station} ${motor.from.toISOString()}`,
        machine: motor.machine,
        station: motor.station,
        badge: motor.isRunningOn ? badge : null,
        ...spanOfMotor(motor),
        ...EXACT,
        evidence: {
          text: motor.isRunningOn
            ? `The motor of ${machineName} turned on ${length} after badge ${badge ?? "(not told)"} had left the holder. A welded contactor or a bypass does this: isolate and lock out at the isolator, then have the control circuit looked at by whoever is licensed to.`
            : `The motor of ${machineName} turned ${length} while no badge was in the holder. A welded contactor or a bypass does this: isolate and lock out at the isolator, then have the control circuit looked at by whoever is licensed to.`,
          unknown:
            "The log can't know who was near, whether a test was under way, or whether the current sensor itself is at fault. An empty badge holder says nothing about the blade.",
          figures: {
            minutes,
            runsOnAfterBadge: motor.isRunningOn ? "yes" : "no",
            counterIsWhole: motor.hasCounter ? "yes" : "no counter",
          },
        },
      };
    });
  },
});
