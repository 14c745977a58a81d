// A badge still in its holder after closing or overnight.
import { EXACT, rule } from "../rule.ts";
import { minutesText } from "../sentences.ts";
import { LEFT_IN_SLACK_SECONDS, leftInSessions } from "./left-in.ts";

export const leftIn = rule({
  name: "left-in",
  version: 1,
  severity: "medium",
  summary: "a badge was still in its holder after closing or overnight",
  defaults: { slack_seconds: LEFT_IN_SLACK_SECONDS },
  why: "Half an hour after closing everybody who packs up late has gone. A long job is told apart by what followed: the motor still turning past that, or a machine that runs past closing by habit (one session in ten, as kilns and printers do) and was no longer at it than it usually is.",
  weighty: ["hoursPast"],
  async find(asked) {
    const found = await leftInSessions(asked, { slackSeconds: asked.knobs.slack_seconds });
    return found.map((item) => ({
      key: `${item.station} ${item.badge ?? ""} ${item.from.toISOString()}`,
      machine: item.machine,
      station: item.station,
      badge: item.badge,
      from: item.usualEnd,
      until: item.until,
      ...(item.hazard === "high" ? { severity: "high" as const } : {}),
      ...EXACT,
      evidence: {
        text: `A badge stayed in the holder of ${item.machineName} for ${minutesText(item.hoursPast * 60)} after the doors closed${item.isEndSeen ? "" : ", at least"}; anybody could have enabled the machine meanwhile.${motorText(item)}`,
        unknown:
          "The log can't know whether somebody was still there and at work. From the usual end of such a session on it is taken for a badge that nobody came back for.",
        figures: {
          hoursPast: item.hoursPast,
          closedAt: item.closedAt.toISOString(),
          openedAt: item.openedAt?.toISOString() ?? null,
          usualEnd: item.usualEnd.toISOString(),
          enabledAt: item.from.toISOString(),
          lastMotorAt: item.lastMotorAt?.toISOString() ?? null,
        },
      },
    }));
  },
});

function motorText({ hasMotor, lastMotorAt }: { hasMotor: boolean; lastMotorAt: Date | null }): string {
  if (!hasMotor) return "";
  return lastMotorAt === null ? " Its motor never turned in that time." : " Its motor did not turn after closing.";
}
