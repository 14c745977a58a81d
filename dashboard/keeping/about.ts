// What is held on a member, for the member who asks.
import { ask, question } from "../../shared/question.ts";
import type { Desk } from "../commands/command.ts";
import { type Elsewhere, elsewhere } from "./elsewhere.ts";
import { type Member, memberOf } from "./member.ts";

const lookers = question(import.meta.url, "./lookers.sql");

export interface About {
  badges: string[];
  person: string | null;
  name: string | null;
  roles: string[];
  held: Member["held"];
  elsewhere: Elsewhere[];
  /** Who saw member data since the first line held; not whose, which the trail doesn't say. */
  looked: { who: string; what: string; times: number; lastAt: Date }[];
}

/** Throws UsageError for a badge of which nothing is held. */
export async function aboutMember(desk: Desk, typed: string): Promise<About> {
  const member = await memberOf(desk, typed);
  const { badges, roster, held } = member;
  const firsts = held.flatMap(({ firstAt }) => (firstAt === null ? [] : [firstAt.getTime()]));
  const since = firsts.length === 0 ? null : new Date(Math.min(...firsts));
  return {
    badges: [...new Set(badges.map(({ written, stored }) => written ?? stored))],
    person: roster[0]?.person ?? null,
    name: roster[0]?.name ?? null,
    roles: [...new Set(roster.map(({ role }) => role))],
    held: held.filter(({ rows }) => rows > 0),
    elsewhere: await elsewhere(desk, member),
    looked: await ask(desk.connection, lookers, { since }),
  };
}
