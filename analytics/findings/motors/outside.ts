// Motors that turned without a session, asked once for the two rules that judge them.
import { ask, question } from "../../../shared/question.ts";
import { type Asked, boundsOfSpan } from "../rule.ts";

const outside = question(import.meta.url, "./outside.sql");

export interface MotorOutside {
  machine: string;
  machineName: string;
  station: string;
  badge: string | null;
  from: Date;
  until: Date;
  isStopSeen: boolean;
  earlyAt: Date | null;
  lateAt: Date | null;
  isRunningOn: boolean;
  isNumberMissing: boolean;
  isWhole: boolean;
  isReleaseNext: boolean;
  hasCounter: boolean;
  bootAt: Date | null;
}

export const motorsOutside = (asked: Asked<"slack_seconds">): Promise<MotorOutside[]> =>
  asked.once(`motors outside ${asked.knobs.slack_seconds}`, () =>
    ask<MotorOutside>(asked.connection, outside, { ...boundsOfSpan(asked), slack_seconds: asked.knobs.slack_seconds }),
  );

/** A station's start is what made the motor turn if it was this short a time ago. */
const RESTART_WITHIN_MS = 10 * 60_000;

/** Lines may come a little late: without a counter to tell that none is missing, a new one waits. */
const LATE_LINES_MS = 45_000;

export type MotorVerdict = "motor-without-session" | "restart-after-power" | "line-lost" | "wait";

/**
 * What a motor outside any session is taken for. A badge line that was lost explains it where numbers are missing from the counter
 * just before, or where a badge left next that was never seen to come and the counter has a gap since the last word of a badge; after
 * a start of the station the latter proves nothing, since the badge may have been in the holder all along.
 */
export function verdictOf(motor: MotorOutside, asOf: Date): MotorVerdict {
  if (motor.isRunningOn) return "motor-without-session";
  if (motor.isNumberMissing) return "line-lost";
  if (!motor.hasCounter && asOf.getTime() - motor.from.getTime() < LATE_LINES_MS) return "wait";
  if (motor.bootAt !== null && motor.from.getTime() - motor.bootAt.getTime() <= RESTART_WITHIN_MS) return "restart-after-power";
  return motor.isReleaseNext && !motor.isWhole ? "line-lost" : "motor-without-session";
}

/** From and until in which it happened: the bounds, where the station's stamp is not believed. */
export const spanOfMotor = ({ from, until, earlyAt, lateAt, isRunningOn }: MotorOutside): { from: Date; until: Date } =>
  isRunningOn
    ? { from, until }
    : {
        from: earlyAt !== null && earlyAt < from ? earlyAt : from,
        until: lateAt !== null && lateAt > until ? lateAt : until,
      };
