// A motor that started by itself when the power came back.
import { EXACT, rule } from "../rule.ts";
import { minutesText } from "../sentences.ts";
import { motorsOutside, spanOfMotor, verdictOf } from "./outside.ts";

export const restartAfterPower = rule({
  name: "restart-after-power",
  version: 1,
  severity: "grave",
  summary: "a motor started after its station came up, without a fresh enable",
  defaults: { slack_seconds: 20 },
  // 29 CFR 1910.213(b)(3), US Occupational Safety and Health Administration, woodworking machinery; the paragraph is told from memory.
  why: "A machine must not start by itself when the power returns (29 CFR 1910.213(b)(3)). Ten minutes from the start of the station tie the two together; a motor later than that is flagged as one without session.",
  weighty: ["minutes"],
  isUrgent: true,
  async find(asked) {
    const motors = (await motorsOutside(asked)).filter((motor) => verdictOf(motor, asked.asOf) === "restart-after-power");
    return motors.map((motor) => {
      const minutes = (motor.until.getTime() - motor.from.getTime()) / 60_000;
      const afterSeconds = motor.bootAt === null ? null : (motor.from.getTime() - motor.bootAt.getTime()) / 1000;
      return {
        key: `${motor.station} ${motor.from.toISOString()}`,
        machine: motor.machine,
        station: motor.station,
        badge: null,
        ...spanOfMotor(motor),
        ...EXACT,
        evidence: {
          text: `The motor of ${motor.machineName} started ${Math.round(afterSeconds ?? 0)} s after its station came up, without a badge being accepted in between, and ${motor.isStopSeen ? `turned for ${minutesText(minutes)}` : "its stop was not seen"}. A machine that starts by itself must be isolated and locked out at the isolator until its control circuit was looked at by whoever is licensed to.`,
          unknown:
            "The log can't know who was near, whether a badge had stayed in the holder through the cut, or whether the start button was pressed.",
          figures: { minutes, secondsAfterStart: afterSeconds },
        },
      };
    });
  },
});
