// Which sessions of the span are a badge left in its holder: for the rule itself, and for those that must not count it as work.
import { ask, question } from "../../../shared/question.ts";
import { loadNorms, type Norms } from "../norms/load-norms.ts";
import { type Asked, boundsOfSpan } from "../rule.ts";
import { judgeLeftIn, type LeftIn } from "./judge.ts";

const pastClosing = question(import.meta.url, "./past-closing.sql");

/** Whoever packs up late gets half an hour. */
export const LEFT_IN_SLACK_SECONDS = 1800;

export interface LeftInSession extends LeftIn {
  sessionId: bigint;
  machine: string;
  machineName: string;
  station: string;
  badge: string | null;
  hazard: string | null;
  from: Date;
  closedAt: Date;
  openedAt: Date | null;
  until: Date;
  isEndSeen: boolean;
  hasMotor: boolean;
  lastMotorAt: Date | null;
  tail: number;
}

type Row = Omit<LeftInSession, keyof LeftIn | "sessionId" | "tail"> & { session_id: bigint; pastClosingShare: number };

/** Every session overlapping the span whose badge is taken for left in. Without opening hours nothing is ever past closing. */
export async function leftInSessions(
  asked: Pick<Asked, "connection" | "since" | "until" | "asOf" | "workshop" | "once">,
  { slackSeconds = LEFT_IN_SLACK_SECONDS, norms }: { slackSeconds?: number | undefined; norms?: Norms | undefined } = {},
): Promise<LeftInSession[]> {
  if (!asked.workshop.hasHours) return [];
  const rows = await ask<Row>(asked.connection, pastClosing, { ...boundsOfSpan(asked), slack_seconds: slackSeconds });
  if (rows.length === 0) return [];
  const known = norms ?? (await asked.once("norms of length", () => loadNorms(asked.connection)));
  return rows.flatMap(({ session_id: sessionId, pastClosingShare, ...row }) => {
    const seconds = (row.until.getTime() - row.from.getTime()) / 1000;
    const tail = known.tail(row.machine, seconds);
    const usualSeconds = known.byMachine.get(row.machine)?.medianSeconds ?? null;
    const judged = judgeLeftIn({ ...row, usualSeconds, tail, pastClosingShare }, slackSeconds);
    return judged === null ? [] : [{ ...row, ...judged, sessionId, tail }];
  });
}
