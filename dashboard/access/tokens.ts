// What opens one door only: tokens of sources and calendars, phones at the bench, one-time links.
import type { DuckDBConnection } from "@duckdb/node-api";
import { UsageError } from "../../shared/errors.ts";
import { ask, perform, question } from "../../shared/question.ts";
import { findBySecret, hashOfSecret, newSecret } from "./secret.ts";

const everyToken = question(import.meta.url, "./questions/tokens.sql");
const keepQuestion = question(import.meta.url, "./questions/keep-token.sql");
const dropQuestion = question(import.meta.url, "./questions/drop-tokens.sql");
const touchQuestion = question(import.meta.url, "./questions/touch-token.sql");

/** `source` sends events, `calendar` reads due dates, `bench` is a phone; `welcome` and `enrol` are links that work once. */
export const purposes = ["source", "calendar", "bench", "welcome", "enrol"] as const;
export type Purpose = (typeof purposes)[number];

export interface Token {
  purpose: Purpose;
  name: string;
  hash: string;
  madeAt: Date;
  madeBy: string;
  untilAt: Date | null;
  usedAt: Date | null;
}

const day = 24 * 3_600_000;
/** How long each lasts; null: until somebody removes it. */
const lasts: Record<Purpose, number | null> = {
  source: null,
  calendar: null,
  bench: 365 * day,
  welcome: 7 * day,
  enrol: day / 24,
};

interface StoredToken {
  purpose: Purpose;
  name: string;
  hash: string;
  made_at: Date;
  made_by: string;
  until_at: Date | null;
  used_at: Date | null;
}

export async function loadTokens(connection: DuckDBConnection, now: Date): Promise<Token[]> {
  const rows = await ask<StoredToken>(connection, everyToken, { now });
  return rows.map(({ made_at, made_by, until_at, used_at, ...row }) => ({
    ...row,
    madeAt: made_at,
    madeBy: made_by,
    untilAt: until_at,
    usedAt: used_at,
  }));
}

/** The token that has this secret and serves this purpose. */
export async function maybeToken(
  connection: DuckDBConnection,
  purpose: Purpose,
  secret: string,
  now: Date,
): Promise<Token | null> {
  const tokens = (await loadTokens(connection, now)).filter((token) => token.purpose === purpose);
  return findBySecret(tokens, secret);
}

const namePattern = /^[\p{L}\p{N}][\p{L}\p{N} ._-]{0,39}$/u;

/** Makes a token and gives its secret, which nobody can read again. One of the same purpose and name is replaced. */
export async function issueToken(
  connection: DuckDBConnection,
  { purpose, name, by }: { purpose: Purpose; name: string; by: string },
  now: Date,
): Promise<{ secret: string; untilAt: Date | null }> {
  if (!namePattern.test(name))
    throw new UsageError({ field: "name", value: name, expected: "up to 40 letters, digits, spaces, dots or dashes" });
  await perform(connection, dropQuestion, { purpose, name, now });
  const secret = newSecret();
  const life = lasts[purpose];
  const untilAt = life === null ? null : new Date(now.getTime() + life);
  await perform(connection, keepQuestion, {
    purpose,
    name,
    hash: hashOfSecret(secret),
    made_at: now,
    made_by: by,
    until_at: untilAt,
  });
  return { secret, untilAt };
}

/** Throws UsageError where there is none of that purpose and name. */
export async function tokenNamed(
  connection: DuckDBConnection,
  among: readonly Purpose[],
  name: string,
  now: Date,
): Promise<Token> {
  const tokens = (await loadTokens(connection, now)).filter((token) => among.includes(token.purpose));
  const found = tokens.find((token) => token.name === name);
  if (found) return found;
  const known = [...new Set(tokens.map((token) => token.name))].join(", ");
  throw new UsageError({ field: "name", value: name, expected: known ? `one of ${known}` : "one that was added; there is none" });
}

export const dropToken = (
  connection: DuckDBConnection,
  { purpose, name }: Pick<Token, "purpose" | "name">,
  now: Date,
): Promise<void> => perform(connection, dropQuestion, { purpose, name, now });

const minute = 60_000;

/** Whether its use should be noted: once a minute is enough to see a token that nobody uses. */
export const isUseNews = (token: Token, now: Date): boolean =>
  token.usedAt === null || now.getTime() - token.usedAt.getTime() >= minute;

export const noteUse = (connection: DuckDBConnection, token: Token, now: Date): Promise<void> =>
  perform(connection, touchQuestion, { hash: token.hash, now });
