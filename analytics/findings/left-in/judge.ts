// Was the badge forgotten, or did the work go on? Told by what followed.

export interface PastClosing {
  from: Date;
  closedAt: Date;
  /** The certain end. */
  until: Date;
  isEndSeen: boolean;
  /** When the motor was last known to turn in the session; null where it never did. */
  lastMotorAt: Date | null;
  /** Whether the machine has a current sensor at all. */
  hasMotor: boolean;
  /** Median of the machine's seen sessions; null where it has none. */
  usualSeconds: number | null;
  /** How rarely a session of this machine is as long, 0 to 1. */
  tail: number;
  /** What share of the machine's sessions of late went on past closing. */
  pastClosingShare: number;
}

export interface LeftIn {
  /** From where on nobody is taken to have worked: the usual end, by closing at the latest. */
  usualEnd: Date;
  hoursPast: number;
}

/** Machines that run on by habit (a kiln, a printer): this share of their sessions goes past closing, and this one is no rare length. */
const HABIT = 0.1;
const ORDINARY_TAIL = 0.01;

/**
 * Null where it was a long job: the motor turned well after closing, or the machine runs past closing by habit and this was no
 * longer than it usually is. Else the badge is taken for left in, from the session's usual end on.
 */
export function judgeLeftIn(session: PastClosing, slackSeconds: number): LeftIn | null {
  const { from, closedAt, until, lastMotorAt, usualSeconds, tail, pastClosingShare } = session;
  if (lastMotorAt !== null && lastMotorAt.getTime() > closedAt.getTime() + slackSeconds * 1000) return null;
  if (pastClosingShare >= HABIT && tail >= ORDINARY_TAIL) return null;
  const usual = from.getTime() + (usualSeconds ?? 0) * 1000;
  const worked = lastMotorAt === null ? usual : Math.max(usual, lastMotorAt.getTime());
  return {
    usualEnd: new Date(Math.max(from.getTime(), Math.min(closedAt.getTime(), worked))),
    hoursPast: (until.getTime() - closedAt.getTime()) / 3.6e6,
  };
}
