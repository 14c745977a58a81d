// The right to be forgotten: a machine's hours stay, the person goes, from every table and from the bytes of the file.
import type { DuckDBConnection } from "@duckdb/node-api";
import { type BadgeKey, newStandIn } from "../../shared/badges.ts";
import { FailedError } from "../../shared/errors.ts";
import { ask, perform, question } from "../../shared/question.ts";
import { inTransaction, keepNote } from "../../shared/store.ts";
import { quotedName } from "../../shared/store-copy.ts";
import { resealTrail } from "../access/trail.ts";
import type { Desk } from "../commands/command.ts";
import { keyOf } from "../stored-badge.ts";
import { bringUpToDate } from "../upkeep.ts";
import { type Elsewhere, elsewhere } from "./elsewhere.ts";
import { type Member, memberOf, storedOf } from "./member.ts";
import { rewriteStore } from "./rewrite.ts";

const badgeColumns = question(import.meta.url, "./badge-columns.sql");
const holds = question(import.meta.url, "./holds.sql");
const keepMark = question(import.meta.url, "./keep-mark.sql");

export interface Forgotten {
  badges: number;
  standIns: string[];
  rows: { table: string; column: string; rows: number }[];
  elsewhere: Elsewhere[];
}

/** What a text of the store is changed for. */
interface Change {
  /** Forms in which it stands as a whole in a column of badges or persons. */
  whole: string[];
  /** Texts that can't be mistaken for something else and go wherever they stand. */
  plain: string[];
  /** A text that goes only as a word of its own, in columns of words. */
  word: string | null;
  standIn: string;
}

/**
 * Forgets the member whose badge it is, all badges of that person together. Throws UsageError where nothing is held on it,
 * FailedError where an incident hold keeps it. The desk's connection is closed afterwards.
 */
export async function forgetMember(desk: Desk, typed: string): Promise<Forgotten> {
  const { store, connection, workshop, seed } = desk;
  const now = new Date();
  const member = await memberOf(desk, typed);
  const [hold] = await ask<{ reason: string; heldUntil: Date }>(connection, holds, { badges: storedOf(member), now });
  if (hold) {
    const expected = `no incident hold on it: "${hold.reason}" keeps it until ${hold.heldUntil.toISOString().slice(0, 10)}`;
    throw new FailedError({ field: "badge", value: typed, expected });
  }
  const places = await elsewhere(desk, member);
  const key = await keyOf(store, connection);
  const changes = changesFor(member, key);
  const rows = await store.exclusively(() =>
    inTransaction(connection, async () => {
      for (const { standIn, marks } of changes.badges)
        for (const mark of marks) await perform(connection, keepMark, { mark, stand_in: standIn, now });
      const changed = await changeTexts(connection, [...changes.badges, ...changes.persons]);
      if (changed.some(({ table }) => table === "trail")) await resealTrail(connection);
      // The roster is written anew without the person, and all that hangs on a badge is derived anew from its stand-in.
      await keepNote(connection, "workshop", null);
      await keepNote(connection, "rules", null);
      await keepNote(connection, "rewrite", now.toISOString());
      return changed;
    }),
  );
  await bringUpToDate(store, connection, workshop, seed);
  connection.closeSync();
  await rewriteStore(store);
  const standIns = [...new Set(changes.badges.map(({ standIn }) => standIn))];
  return { badges: standIns.length, standIns, rows, elsewhere: places };
}

function changesFor({ badges, roster }: Member, key: BadgeKey): { badges: (Change & { marks: string[] })[]; persons: Change[] } {
  const byCard = new Map<string, typeof badges>();
  for (const badge of badges) {
    const card = badge.written ?? badge.stored;
    byCard.set(card, [...(byCard.get(card) ?? []), badge]);
  }
  const changes = [...byCard.values()].map((forms) => {
    const { written } = forms[0]!;
    const hashed = written === null ? forms[0]!.stored : key.hash(written);
    return {
      whole: [...new Set(forms.map(({ stored }) => stored))],
      plain: [hashed],
      word: written,
      standIn: newStandIn(),
      marks: [key.mark(hashed)],
    };
  });
  const standIn = changes.map((change) => change.standIn).sort()[0]!;
  const persons = [...new Set(roster.map(({ person }) => person))].map((person) => ({
    whole: [person],
    plain: [...new Set(roster.filter((row) => row.person === person).flatMap(({ name }) => (name === null ? [] : [name])))],
    word: null,
    standIn,
  }));
  return { badges: changes, persons };
}

async function changeTexts(connection: DuckDBConnection, changes: readonly Change[]): Promise<Forgotten["rows"]> {
  const columns = await ask<{ table_name: string; column_name: string; holds: string }>(connection, badgeColumns);
  const rows: Forgotten["rows"] = [];
  for (const { table_name: table, column_name: column, holds } of columns) {
    if (holds === "never") continue;
    let count = 0;
    for (const change of changes) {
      for (const [sql, values] of statementsFor(quotedName(table), quotedName(column), holds, change))
        count += (await connection.run(sql, values)).rowsChanged;
    }
    if (count > 0) rows.push({ table, column, rows: count });
  }
  return rows;
}

/** Only a table and a column of the store's own catalogue stand in the text; everything of the member is bound. */
function statementsFor(table: string, column: string, holds: string, change: Change): [string, Record<string, string>][] {
  const { whole, plain, word, standIn } = change;
  const statements: [string, Record<string, string>][] = [];
  if (holds === "badge" || holds === "person") {
    for (const text of whole)
      statements.push([`UPDATE ${table} SET ${column} = $standIn WHERE ${column} = $text`, { text, standIn }]);
  }
  for (const text of plain) {
    statements.push([
      `UPDATE ${table} SET ${column} = replace(${column}, $text, $standIn) WHERE contains(${column}, $text)`,
      { text, standIn },
    ]);
  }
  if (word !== null && (holds === "words" || holds === "json")) {
    const escaped = word.replace(/[^A-Za-z0-9]/g, "\\$&");
    const [before, after] = holds === "words" ? ["(^|[^0-9A-Za-z])", "($|[^0-9A-Za-z])"] : ["([\"' (])", "([\"' ).,;:])"];
    const pattern = `${before}${escaped}${after}`;
    // Twice, since two that stand beside each other share the sign between them.
    statements.push([
      `UPDATE ${table} SET ${column} = regexp_replace(regexp_replace(${column}, $pattern, $replacement, 'g'), $pattern, $replacement, 'g') WHERE regexp_matches(${column}, $pattern)`,
      { pattern, replacement: `\\1${standIn}\\2` },
    ]);
  }
  return statements;
}
