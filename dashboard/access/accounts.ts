// Accounts as they stand in the store, and the rules of changing them. Every function works in its caller's transaction.
import type { DuckDBConnection } from "@duckdb/node-api";
import { UsageError } from "../../shared/errors.ts";
import { ask, perform, question } from "../../shared/question.ts";
import type { Role } from "./rights.ts";
import { dropToken } from "./tokens.ts";

const everyAccount = question(import.meta.url, "./questions/accounts.sql");
const keepQuestion = question(import.meta.url, "./questions/keep-account.sql");
const dropQuestion = question(import.meta.url, "./questions/drop-account.sql");
const dropVisits = question(import.meta.url, "./questions/drop-visits.sql");

export interface Account {
  name: string;
  roles: Role[];
  /** As `hashOfPassword` made it; null until its holder has chosen one. */
  password: string | null;
  passwordAt: Date | null;
  /** The second factor's shared secret, null where none is set. */
  factor: string | null;
  factorStep: number | null;
  /** Hashes of recovery codes not used yet. */
  paperCodes: string[];
  madeAt: Date;
  lastSeen: Date | null;
}

interface StoredAccount {
  name: string;
  roles: string;
  password: string | null;
  password_at: Date | null;
  factor: string | null;
  factor_step: number | null;
  paper_codes: string;
  made_at: Date;
  last_seen: Date | null;
}

export async function loadAccounts(connection: DuckDBConnection): Promise<Account[]> {
  const rows = await ask<StoredAccount>(connection, everyAccount);
  return rows.map((row) => ({
    name: row.name,
    roles: JSON.parse(row.roles) as Role[],
    password: row.password,
    passwordAt: row.password_at,
    factor: row.factor,
    factorStep: row.factor_step,
    paperCodes: JSON.parse(row.paper_codes) as string[],
    madeAt: row.made_at,
    lastSeen: row.last_seen,
  }));
}

export async function maybeAccount(connection: DuckDBConnection, name: string): Promise<Account | null> {
  return (await loadAccounts(connection)).find((account) => account.name === nameAsKept(name)) ?? null;
}

/** Throws UsageError where nobody has that name. */
export async function accountNamed(connection: DuckDBConnection, name: string): Promise<Account> {
  const accounts = await loadAccounts(connection);
  const found = accounts.find((account) => account.name === nameAsKept(name));
  if (found) return found;
  const known = accounts.map((account) => account.name).join(", ");
  throw new UsageError({ field: "name", value: name, expected: known ? `one of ${known}` : "an account; there is none yet" });
}

export const nameAsKept = (name: string): string => name.normalize("NFKC").trim().toLowerCase();

const namePattern = /^[\p{L}\p{N}][\p{L}\p{N}._-]{0,39}$/u;

export async function addAccount(
  connection: DuckDBConnection,
  typed: string,
  roles: readonly Role[],
  now: Date,
): Promise<Account> {
  const name = nameAsKept(typed);
  if (!namePattern.test(name))
    throw new UsageError({ field: "name", value: typed, expected: "up to 40 letters, digits, dots or dashes, without spaces" });
  const accounts = await loadAccounts(connection);
  if (accounts.some((account) => account.name === name))
    throw new UsageError({ field: "name", value: name, expected: "a name that no account has yet" });
  if (accounts.length === 0 && !roles.includes("steward"))
    throw new UsageError({
      field: "role",
      value: roles.join(", "),
      expected: "steward for the first account: from then on everyone has to sign in, and somebody must be able to let them",
    });
  const account: Account = {
    name,
    roles: [...new Set(roles)],
    password: null,
    passwordAt: null,
    factor: null,
    factorStep: null,
    paperCodes: [],
    madeAt: now,
    lastSeen: null,
  };
  await keepAccount(connection, account);
  return account;
}

export async function keepAccount(connection: DuckDBConnection, account: Account): Promise<void> {
  await perform(connection, keepQuestion, {
    name: account.name,
    roles: JSON.stringify(account.roles),
    password: account.password,
    password_at: account.passwordAt,
    factor: account.factor,
    factor_step: account.factorStep,
    paper_codes: JSON.stringify(account.paperCodes),
    made_at: account.madeAt,
  });
}

/** Takes the account, its visits and its link away. The last steward goes only as the last of all. */
export async function removeAccount(connection: DuckDBConnection, name: string, now: Date): Promise<Account> {
  const account = await accountNamed(connection, name);
  await refuseWithoutSteward(connection, account.name, []);
  await perform(connection, dropQuestion, { name: account.name });
  await dropToken(connection, { purpose: "welcome", name: account.name }, now);
  await endVisits(connection, account.name);
  return account;
}

export async function changeRoles(connection: DuckDBConnection, name: string, roles: readonly Role[]): Promise<Account> {
  const account = await accountNamed(connection, name);
  if (!roles.includes("steward")) await refuseWithoutSteward(connection, account.name, roles);
  const changed = { ...account, roles: [...new Set(roles)] };
  await keepAccount(connection, changed);
  return changed;
}

async function refuseWithoutSteward(connection: DuckDBConnection, without: string, roles: readonly Role[]): Promise<void> {
  const others = (await loadAccounts(connection)).filter((account) => account.name !== without);
  const isLastOfAll = others.length === 0 && roles.length === 0;
  if (isLastOfAll || others.some((account) => account.roles.includes("steward"))) return;
  throw new UsageError({ field: "name", value: without, expected: "another steward first; this is the only one" });
}

/** Sets a password (its hash), which ends every visit of the account but perhaps one, and any link to choose another. */
export async function setPassword(
  connection: DuckDBConnection,
  account: Account,
  hash: string,
  now: Date,
  exceptVisit: string | null = null,
): Promise<void> {
  await keepAccount(connection, { ...account, password: hash, passwordAt: now });
  await dropToken(connection, { purpose: "welcome", name: account.name }, now);
  await endVisits(connection, account.name, exceptVisit);
}

export async function endVisits(connection: DuckDBConnection, account: string, exceptVisit: string | null = null): Promise<void> {
  await perform(connection, dropVisits, { hash: null, account, except: exceptVisit, made_before: null, seen_before: null });
}
