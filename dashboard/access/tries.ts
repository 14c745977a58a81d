// Failed tries to sign in, kept in the store so that a restart forgets none.

import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question } from "../../shared/question.ts";
import { hashOfSecret } from "./secret.ts";
import { accountPatience, addressPatience, failedNow, type Patience, placeOfAddress, type Tries, waitMs } from "./slow-down.ts";

const triesQuestion = question(import.meta.url, "./questions/tries.sql");
const keepQuestion = question(import.meta.url, "./questions/keep-try.sql");
const dropQuestion = question(import.meta.url, "./questions/drop-tries.sql");

interface Tried {
  hash: string;
  patience: Patience;
}

const triedBy = (name: string, address: string): Tried[] => [
  { hash: hashOfSecret(`account ${name}`), patience: accountPatience },
  { hash: hashOfSecret(`address ${placeOfAddress(address)}`), patience: addressPatience },
];

/**
 * Counts a try as failed before it is looked at, so that many at once gain nothing; gives how long to wait instead where it is
 * too early. A name that no account has is counted like any other: the wait doesn't tell.
 */
export async function countTry(connection: DuckDBConnection, name: string, address: string, now: Date): Promise<number> {
  const tried = await Promise.all(
    triedBy(name, address).map(async (each) => ({ ...each, tries: await triesOf(connection, each.hash) })),
  );
  const wait = Math.max(...tried.map(({ tries, patience }) => waitMs(tries, patience, now)));
  if (wait > 0) return wait;
  for (const { hash, patience, tries } of tried)
    await perform(connection, keepQuestion, { hash, failed: failedNow(tries, patience, now) + 1, now });
  return 0;
}

/** It was right: the account's tries are forgotten, the address gets this one back. */
export async function forgiveTry(connection: DuckDBConnection, name: string, address: string, now: Date): Promise<void> {
  const [account, place] = triedBy(name, address) as [Tried, Tried];
  const before = new Date(now.getTime() - Math.max(accountPatience.forgetMs, addressPatience.forgetMs));
  await perform(connection, dropQuestion, { hash: account.hash, before });
  const tries = await triesOf(connection, place.hash);
  if (tries)
    await perform(connection, keepQuestion, { hash: place.hash, failed: Math.max(0, tries.failed - 1), now: tries.lastAt });
}

/** Forgets the failed tries on an account. */
export async function forgetTries(connection: DuckDBConnection, name: string, now: Date): Promise<void> {
  const [account] = triedBy(name, "") as [Tried, Tried];
  await perform(connection, dropQuestion, { hash: account.hash, before: new Date(now.getTime() - accountPatience.forgetMs) });
}

async function triesOf(connection: DuckDBConnection, hash: string): Promise<Tries | null> {
  const [row] = await ask<{ failed: number; last_at: Date }>(connection, triesQuestion, { hash });
  return row ? { failed: row.failed, lastAt: row.last_at } : null;
}
