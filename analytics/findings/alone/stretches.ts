// Stretches of being alone, or in the place at all, when it is closed or nobody should be alone: one walk for three rules.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, question } from "../../../shared/question.ts";
import { clockJumps, isInJump } from "../clock-jump/jumps.ts";
import { type Asked, boundsOfSpan, type Knobs } from "../rule.ts";
import { minutesAlone, type Presence } from "./minutes.ts";

const closedQuestion = question(import.meta.url, "./closed-stretches.sql");
const hazardQuestion = question(import.meta.url, "./hazard-stretches.sql");
const orphansQuestion = question(import.meta.url, "./orphan-releases.sql");
const aroundQuestion = question(import.meta.url, "./sessions-around.sql");

export type AloneKnobs = "place" | "gap_minutes" | "after_minutes";

export interface Stretch {
  /** The room where rooms are judged apart, else null. */
  place: string | null;
  from: Date;
  until: Date;
  /** Who was alone in it (longest). */
  owner: string | null;
}
export interface ClosedStretch extends Stretch {
  longestMinutes: number;
  isShared: boolean;
  people: number;
}

export interface SessionAround extends Presence {
  number: number;
  badge: string | null;
  machine: string;
  machineName: string;
  station: string;
  isHazard: boolean;
  isEndSeen: boolean;
  /** Nine in ten joint worlds end later than the one, and earlier than the other. */
  early: Date;
  late: Date;
}

/** How long past closing a badge in the holder is a late leaver's; afterwards it is left in, which is another rule's. */
const LEFT_IN_SECONDS = 30 * 60;

/** Stretches of closed hours with anybody's badge active, by the knobs of the rule that asks. */
export async function closedStretches(asked: Asked, knobs: Knobs): Promise<ClosedStretch[]> {
  if (!asked.workshop.hasHours) return [];
  const { place, gap_minutes: gap = 0 } = knobs;
  const all = await asked.once(`closed stretches ${place} ${gap}`, () =>
    ask<ClosedStretch>(asked.connection, closedQuestion, {
      ...boundsOfSpan(asked),
      zone: asked.zone,
      by_room: place === "room",
      gap_seconds: gap * 60,
      left_in_seconds: LEFT_IN_SECONDS,
    }),
  );
  return outsideJumps(asked, all);
}

export async function hazardStretches(asked: Asked<AloneKnobs>): Promise<Stretch[]> {
  const { place, gap_minutes: gap, after_minutes: least } = asked.knobs;
  const all = await ask<Stretch>(asked.connection, hazardQuestion, {
    ...boundsOfSpan(asked),
    zone: asked.zone,
    by_room: place === "room",
    // The walk looks at slots of a third of the least minutes: a gap as long as one would hide in it.
    gap_seconds: Math.min(gap, least / 3.5) * 60,
    least_minutes: least,
    has_hours: asked.workshop.hasHours,
  });
  return outsideJumps(asked, all);
}

/** While a clock was not set nobody knows what was at one time with what. */
async function outsideJumps<S extends Stretch>(asked: Asked, stretches: S[]): Promise<S[]> {
  const jumps = await clockJumps(asked);
  return stretches.filter(({ from, until }) => !isInJump(jumps, from, until));
}

/** A closed stretch with the sessions around it, and whether one person was alone in it for long enough, nine times in ten. */
export interface JudgedStretch extends ClosedStretch {
  sessions: SessionAround[];
  isAlone: boolean;
}

/** One judgement for alone-closed and closed-use, so that a stretch is never both. */
export async function judgedClosed(asked: Asked, knobs: Knobs, leastMinutes: number): Promise<JudgedStretch[]> {
  const stretches = await closedStretches(asked, knobs);
  const around = await sessionsAround(asked, stretches, knobs.place === "room");
  const shared = await accompanied(asked, stretches, around);
  return stretches.map((stretch, index) => {
    const sessions = around[index]!;
    const isShared = stretch.isShared || shared.has(index);
    const isAlone = !shared.has(index) && stretch.longestMinutes - minutesInDoubt(stretch, sessions) >= leastMinutes;
    return { ...stretch, isShared, isAlone, sessions };
  });
}

/** The sessions around each stretch, in the order of the stretches. */
export async function sessionsAround(
  asked: Asked & { readonly connection: DuckDBConnection },
  stretches: readonly Stretch[],
  byRoom: boolean,
): Promise<SessionAround[][]> {
  const around = stretches.map((): SessionAround[] => []);
  if (stretches.length === 0) return around;
  const rows = await ask<SessionAround>(asked.connection, aroundQuestion, {
    stretches: JSON.stringify(stretches.map(({ place, from, until }, number) => ({ number, place, from, until }))),
    as_of: asked.asOf,
    zone: asked.zone,
    by_room: byRoom,
  });
  for (const row of rows) around[row.number]!.push(row);
  return around;
}

/** Stretches with a badge leaving another station that was never seen to come there: somebody was about. By their place in the list. */
export async function accompanied(
  asked: Asked,
  stretches: readonly Stretch[],
  around: readonly SessionAround[][],
): Promise<Set<number>> {
  if (stretches.length === 0) return new Set();
  const rows = await ask<{ number: number; station: string }>(asked.connection, orphansQuestion, {
    stretches: JSON.stringify(stretches.map(({ from, until }, number) => ({ number, from, until }))),
    as_of: asked.asOf,
  });
  const isOwn = (number: number, station: string) =>
    around[number]!.some((session) => session.person === stretches[number]!.owner && session.station === station);
  return new Set(rows.filter(({ number, station }) => !isOwn(number, station)).map(({ number }) => number));
}

/** Minutes that unseen ends may take away from a stretch: the owner's at the earliest, the others' at the latest of nine in ten. */
export function minutesInDoubt({ owner, from, until }: Stretch, sessions: readonly SessionAround[]): number {
  const cautious = sessions.map((session) => {
    const end = session.person === owner ? session.early : session.late;
    return { ...session, low: end, best: end, high: end };
  });
  return minutesAlone(owner ?? "", sessions, from, until).best - minutesAlone(owner ?? "", cautious, from, until).best;
}

/** The sessions that were under way in a stretch, by their best ends. */
export const within = ({ from, until }: Stretch, sessions: readonly SessionAround[]): SessionAround[] =>
  sessions.filter((session) => session.from < until && session.best > from);
