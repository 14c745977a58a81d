// Whom a badge means: its stored form, the person it belongs to by the roster, and that person's other badges.
import { existsSync } from "node:fs";
import { badgeKey, isHashedBadge, isStandIn } from "../../shared/badges.ts";
import { UsageError } from "../../shared/errors.ts";
import { ask, question } from "../../shared/question.ts";
import type { RosterRow } from "../../shared/roster.ts";
import type { Desk } from "../commands/command.ts";
import { keyPathOf } from "../stored-badge.ts";

const heldRows = question(import.meta.url, "./held-rows.sql");

export interface MemberBadge {
  /** As on the card; null where only its hash is known. */
  written: string | null;
  stored: string;
}

export interface Member {
  badges: MemberBadge[];
  /** Rows of the roster file. */
  roster: RosterRow[];
  held: { what: string; rows: number; firstAt: Date | null; lastAt: Date | null }[];
}

export const storedOf = ({ badges }: Member): string => JSON.stringify([...new Set(badges.map(({ stored }) => stored))]);

/** Throws UsageError for a badge of which nothing is held. */
export async function memberOf(desk: Desk, typed: string): Promise<Member> {
  const { connection, workshop, storedBadge } = desk;
  if (isStandIn(typed))
    throw new UsageError({ field: "badge", value: typed, expected: "a badge; this stands in for one that was forgotten" });
  const own = workshop.roster.filter(({ badge }) => badge === typed || storedBadge(badge) === typed);
  const persons = new Set(own.map(({ person }) => person));
  const roster = workshop.roster.filter(({ person }) => persons.has(person));
  const written = new Set(roster.map(({ badge }) => badge));
  const badges: MemberBadge[] = [...written].map((badge) => ({ written: badge, stored: storedBadge(badge) }));
  if (own.length === 0)
    badges.push(isHashedBadge(typed) ? { written: null, stored: typed } : { written: typed, stored: storedBadge(typed) });
  // A store that kept badges as written once and hashes them now has both forms.
  const keyPath = keyPathOf(desk.store);
  const forms = badges.flatMap((badge) => {
    if (badge.written === null) return [badge];
    const hashed = existsSync(keyPath) ? [badgeKey(keyPath).hash(badge.written)] : [];
    return [...new Set([badge.stored, badge.written, ...hashed])].map((stored) => ({ written: badge.written, stored }));
  });
  const member = { badges: forms, roster };
  const held = await ask<Member["held"][number]>(connection, heldRows, { badges: storedOf({ ...member, held: [] }) });
  if (roster.length === 0 && held.every(({ rows }) => rows === 0))
    throw new UsageError({
      field: "badge",
      value: typed,
      expected: "a badge of the roster or the log; nothing is held on this one",
    });
  return { ...member, held };
}
