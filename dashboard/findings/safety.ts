// Everything that the Safety page shows, on the workshop's own clock.
import {
  byDay,
  clocksOf,
  type DayStretch,
  endingPermissions,
  type LengthStrip,
  lengthStrips,
  type Neighbour,
  neighboursOf,
  openStretches,
  type Permission,
} from "../../analytics/index.ts";
import type { Desk } from "../commands/command.ts";
import { findingsOf } from "./findings-of.ts";

type Listed = Awaited<ReturnType<typeof findingsOf>>["findings"][number];

export interface SafetyFinding extends Listed {
  /** Local day and clock of both ends. */
  fromDay: string;
  fromHours: number;
  untilDay: string;
  untilHours: number;
  near: Neighbour[];
}

export interface SafetyAnswer {
  head: {
    asOf: Date;
    open: (DayStretch & { state: string })[];
    stretches: (DayStretch & { id: string; rule: string })[];
    lengths: LengthStrip[];
    permissions: Permission[];
    expectedFalse: Record<string, number>;
    hidden: number;
  };
  findings: SafetyFinding[];
}

/** Longer lists are read month by month; the rest is counted. */
const MOST = 200;
/** Of the first so many the sessions around them come along. */
const MOST_WITH_NEIGHBOURS = 60;

/** Rules whose findings are stretches of somebody's presence: what the night map draws. */
const DRAWN = new Set(["alone-closed", "alone-hazard", "closed-use", "left-in"]);

export async function safetyOf(desk: Desk): Promise<SafetyAnswer> {
  const { connection, span } = desk;
  const answer = await findingsOf(desk);
  const findings = [...answer.findings].reverse().slice(0, MOST);
  const from = span.since ?? answer.findings[0]?.from ?? span.asOf;
  const until = new Date(Math.min((span.until ?? span.asOf).getTime(), Math.max(span.asOf.getTime(), from.getTime() + 1)));
  const open = await openStretches(connection, { from, until });
  const near = await neighboursOf(connection, findings.slice(0, MOST_WITH_NEIGHBOURS), span);
  const clockOf = await clocksOf(connection, span.zone, [
    span.asOf,
    ...open.flatMap((one) => [one.from, one.until]),
    ...answer.findings.flatMap((one) => [one.from, one.until]),
  ]);
  const expectedFalse: Record<string, number> = {};
  for (const one of answer.findings) if (one.expectedFalse > 0) expectedFalse[one.rule] = one.expectedFalse;
  return {
    head: {
      asOf: span.asOf,
      open: open.flatMap((one) => byDay(clockOf(one.from), clockOf(one.until)).map((part) => ({ ...part, state: one.state }))),
      stretches: answer.findings
        .filter(({ rule }) => DRAWN.has(rule))
        .flatMap(({ id, rule, ...one }) => byDay(clockOf(one.from), clockOf(one.until)).map((part) => ({ ...part, id, rule }))),
      lengths: await lengthStrips(connection),
      permissions: await endingPermissions(connection, { today: clockOf(span.asOf).day, asOf: span.asOf }),
      expectedFalse,
      hidden: answer.findings.length - findings.length,
    },
    findings: findings.map((one) => {
      const [start, end] = [clockOf(one.from), clockOf(one.until)];
      return {
        ...one,
        fromDay: start.day,
        fromHours: start.hours,
        untilDay: end.day,
        untilHours: end.hours,
        near: near.get(one.id) ?? [],
      };
    }),
  };
}
