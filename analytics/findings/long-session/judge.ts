// Which of the longest sessions are far beyond their machine's norm, with few ordinary ones among them.
import { type Discoveries, falseDiscovery } from "../../stats/false-discovery.ts";
import type { Norms } from "../norms/load-norms.ts";

/** One session in so many is something to look at, as a rule: what keeps a short list from being judged harder than a long one. */
export const USUAL_SHARE = 1 / 2000;
/** No list reaches further than to here, however many discoveries it has. */
export const FARTHEST_TAIL = 1e-3;

export interface Lasting {
  machine: string;
  /** Certain length. */
  seconds: number;
}

/**
 * The sessions far beyond the norm, with their tail probabilities. A session must stand out twice: among all sessions of the shop
 * (`rate` of false discoveries) and beyond the upper fence of its own machine, which respects skew. `lasting` needs to hold only
 * those that might; `tests` says how many sessions there are.
 */
export function farBeyond<Session extends Lasting>(
  lasting: readonly Session[],
  norms: Norms,
  { rate, tests }: { rate: number; tests: number },
): Discoveries & { sessions: (Session & { tail: number })[] } {
  const judged = lasting.map((session) => ({ ...session, tail: norms.tail(session.machine, session.seconds) }));
  const answer = falseDiscovery(
    judged.map(({ tail }) => tail),
    { rate, tests: Math.max(tests, judged.length), usualShare: USUAL_SHARE },
  );
  const threshold = Math.min(answer.threshold, FARTHEST_TAIL);
  const sessions = judged.filter(
    ({ machine, seconds, tail }) =>
      tail <= threshold && seconds > (norms.fences(machine)?.upperSeconds ?? Number.NEGATIVE_INFINITY),
  );
  return { threshold, discoveries: sessions.length, expectedFalse: threshold * tests, sessions };
}
