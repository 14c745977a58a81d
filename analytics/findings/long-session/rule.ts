// A session far beyond what is usual on its machine.
import { ask, question } from "../../../shared/question.ts";
import { historyFrom } from "../history.ts";
import { leftInSessions } from "../left-in/left-in.ts";
import { loadNorms } from "../norms/load-norms.ts";
import { secondsAt } from "../norms/norms.ts";
import { boundsOfSpan, rule } from "../rule.ts";
import { minutesText } from "../sentences.ts";
import { FARTHEST_TAIL, farBeyond, type Lasting } from "./judge.ts";

const beyondQuestion = question(import.meta.url, "./beyond.sql");
const countedQuestion = question(import.meta.url, "./counted.sql");
const habitsQuestion = question(import.meta.url, "./habits.sql");

interface Row extends Lasting {
  session_id: bigint;
  station: string;
  badge: string | null;
  from: Date;
  until: Date;
  ended: string;
  isEndSeen: boolean;
}

export const longSession = rule({
  name: "long-session",
  version: 1,
  severity: "low",
  summary: "a session lasted far longer than is usual on its machine",
  defaults: { false_discovery: 0.2 },
  why: "Lengths are judged on a log scale against the machine's own median and the spread of its upper half, so kilns and printers have norms of their own. One flag in five may be an ordinary session. A session is taken for something to look at about once in 2000; so with few flags the line is at one session in 10,000, and expectedFalse says how many ordinary sessions that comes to.",
  weighty: ["seconds"],
  async find(asked) {
    const { connection, asOf, since, until, knobs } = asked;
    const history = historyFrom(asked);
    const norms = await asked.once("norms of length", () => loadNorms(connection));
    const cuts = [...norms.byMachine.values()].map((norm) => ({
      machine: norm.machine,
      // A little below the farthest line, since calibration moves tails by some.
      seconds: secondsAt(norm, 3 * FARTHEST_TAIL),
    }));
    if (cuts.length === 0) return [];
    const rows = await ask<Row>(connection, beyondQuestion, {
      cuts: JSON.stringify(cuts),
      history: history ?? null,
      as_of: asOf,
    });
    const [counted] = await ask<{ all: number; inSpan: number }>(connection, countedQuestion, {
      ...boundsOfSpan(asked),
      history: history ?? null,
    });
    const left = new Set(
      (await leftInSessions({ ...asked, since: history, until }, { norms })).map(({ sessionId }) => sessionId),
    );
    const { threshold, sessions } = farBeyond(
      rows.filter(({ session_id }) => !left.has(session_id)),
      norms,
      { rate: knobs.false_discovery, tests: counted!.all },
    );
    const wanted = sessions.filter(
      (session) =>
        (until === undefined || session.from < until) && (since === undefined || session.from >= since || session.until > since),
    );
    const pairs = wanted.flatMap(({ machine, badge }) => (badge === null ? [] : [{ machine, badge }]));
    const habits =
      pairs.length === 0
        ? []
        : await ask<{ machine: string; badge: string; sessions: number; usualSeconds: number }>(connection, habitsQuestion, {
            pairs: JSON.stringify(pairs),
            as_of: asOf,
          });
    return wanted.map((session) => {
      const norm = norms.byMachine.get(session.machine)!;
      const habit = habits.find(({ machine, badge }) => machine === session.machine && badge === session.badge);
      const times = session.seconds / norm.medianSeconds;
      return {
        key: `${session.station} ${session.badge ?? ""} ${session.from.toISOString()}`,
        machine: session.machine,
        group: null,
        room: null,
        station: session.station,
        badge: session.badge,
        from: session.from,
        until: session.until,
        score: -Math.log10(Math.max(session.tail, 1e-300)),
        expectedFalse: threshold * counted!.inSpan,
        evidence: {
          text: `A session on ${norms.nameOf(session.machine)} lasted ${session.isEndSeen ? "" : "at least "}${minutesText(session.seconds / 60)}, ${times.toFixed(times < 10 ? 1 : 0)} times what is usual there (${minutesText(norm.medianSeconds / 60)}); about one session in ${oneIn(session.tail)} is as long.${habit === undefined || habit.sessions < 2 ? "" : ` Of this badge's ${habit.sessions} sessions there half were longer than ${minutesText(habit.usualSeconds / 60)}.`}`,
          unknown:
            "The log can't know whether it was one long job, a badge that stayed in the holder while nobody worked, or a release that was not heard. Some ordinary sessions are as long.",
          figures: {
            seconds: session.seconds,
            isEndSeen: session.isEndSeen ? "yes" : "no",
            ended: session.ended,
            usualSeconds: norm.medianSeconds,
            timesUsual: times,
            upperFenceSeconds: norms.fences(session.machine)?.upperSeconds ?? null,
            tail: session.tail,
            line: threshold,
            sessionsOfMachine: norm.sessions,
            borrowedShare: norm.borrowed,
            badgeUsualSeconds: habit?.usualSeconds ?? null,
            badgeSessions: habit?.sessions ?? null,
          },
        },
      };
    });
  },
});

/** To two digits: the tail is an estimate. */
function oneIn(tail: number): string {
  const sessions = Math.min(1e9, 1 / Math.max(tail, 1e-300));
  return Number(sessions.toPrecision(2)).toLocaleString("en");
}
