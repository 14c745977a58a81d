// Where else than in the store a member's badge or name is known to stand.
import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { ask, question } from "../../shared/question.ts";
import { pathBeside } from "../../shared/workshop.ts";
import type { Desk } from "../commands/command.ts";
import { type Member, storedOf } from "./member.ts";

const heldFiles = question(import.meta.url, "./held-files.sql");
const copies = question(import.meta.url, "./copies.sql");

export interface Elsewhere {
  kind: string;
  file: string;
  /** Lines in it, where that is known. */
  lines: number | null;
  isThere: boolean;
}

export async function elsewhere({ connection, workshop, surroundings }: Desk, member: Member): Promise<Elsewhere[]> {
  const words = member.badges.flatMap(({ written, stored }) => [stored, ...(written === null ? [] : [written])]);
  const files = await ask<{ file: string; lines: number; readAt: Date }>(connection, heldFiles, {
    badges: storedOf(member),
    words: JSON.stringify([...new Set(words)]),
  });
  const since = files.map(({ readAt }) => readAt.getTime()).sort((a, b) => a - b)[0];
  const made = await ask<{ kind: string; path: string }>(connection, copies, {
    since: since === undefined ? null : new Date(since),
  });
  const roster = workshop.workshop.roster;
  const rosterPath = roster === undefined ? null : pathBeside(workshop.path, roster);
  return [
    ...(rosterPath !== null && member.roster.length > 0
      ? [{ kind: "roster", file: rosterPath, lines: member.roster.length, isThere: true }]
      : []),
    ...files.map(({ file, lines }) => ({ kind: "log", file, lines, isThere: existsSync(resolve(surroundings.cwd, file)) })),
    ...made.map(({ kind, path }) => ({ kind, file: path, lines: null, isThere: existsSync(path) })),
  ];
}
