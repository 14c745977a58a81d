// Incident holds: evidence that neither retention nor forgetting may take until the hold ends.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, perform, question, storeInstantFromTyped, UsageError } from "../../shared/index.ts";
import type { Desk } from "../commands/command.ts";
import { entering } from "../service/entry.ts";
import { machineFault } from "../service/place.ts";
import { findingsOf } from "./findings-of.ts";

const nextIds = question(import.meta.url, "./next-id.sql");
const holdsQuestion = question(import.meta.url, "./holds.sql");
const insertHold = question(import.meta.url, "./insert-hold.sql");
const endHoldQuestion = question(import.meta.url, "./end-hold.sql");

export interface HoldRow {
  id: number;
  from: Date;
  until: Date;
  badge: string | null;
  machine: string | null;
  finding: string | null;
  reason: string;
  heldUntil: Date;
  by: string;
  enteredAt: Date;
  endedAt: Date | null;
  endedBy: string | null;
  isInForce: boolean;
}

export const listHolds = (connection: DuckDBConnection, asOf: Date | null, now: Date): Promise<HoldRow[]> =>
  ask<HoldRow>(connection, holdsQuestion, { as_of: asOf, now });

export interface TypedHold {
  reason: string;
  ends: string;
  finding?: string | undefined;
  from?: string | undefined;
  to?: string | undefined;
  badge?: string | undefined;
  machine?: string | undefined;
  by?: string | undefined;
}

/** A day to either side of a finding belongs to its evidence. */
const MARGIN_MS = 86_400_000;

export async function addHold(desk: Desk, typed: TypedHold): Promise<HoldRow> {
  const { connection, span } = desk;
  const now = new Date();
  if (typed.machine !== undefined) {
    const wrong = machineFault(desk.workshop.workshop, typed.machine);
    if (wrong) throw new UsageError(wrong);
  }
  const instant = (text: string, field: string, side: "since" | "until") =>
    storeInstantFromTyped(connection, text, span.zone, { field, side, now });
  const heldUntil = await instant(typed.ends, "ends", "until");
  if (heldUntil <= now) throw new UsageError({ field: "ends", value: typed.ends, expected: "a day to come, when the hold ends" });
  const { from, until } = await heldSpan(desk, typed, instant);
  return entering(desk, async () => {
    const [next] = await ask<{ hold: number }>(connection, nextIds);
    await perform(connection, insertHold, {
      hold_id: next!.hold,
      from,
      until,
      badge: typed.badge === undefined ? null : desk.storedBadge(typed.badge),
      machine: typed.machine ?? null,
      finding: typed.finding ?? null,
      reason: typed.reason,
      held_until: heldUntil,
      by: typed.by ?? desk.surroundings.who,
      at: now,
    });
    return holdOf(connection, next!.hold, now);
  });
}

/** What is held: the typed span, or the finding's with a day to either side. */
async function heldSpan(
  desk: Desk,
  { finding, from, to }: TypedHold,
  instant: (text: string, field: string, side: "since" | "until") => Promise<Date>,
): Promise<{ from: Date; until: Date }> {
  if (from !== undefined && to !== undefined) {
    const held = { from: await instant(from, "from", "since"), until: await instant(to, "to", "until") };
    if (held.until <= held.from) throw new UsageError({ field: "to", value: to, expected: `a time after ${from}` });
    return held;
  }
  if (finding === undefined || from !== undefined || to !== undefined)
    throw new UsageError({ field: "from", value: from ?? null, expected: "from and to, or a finding's id" });
  const found = (await findingsOf(desk)).findings.find(({ id }) => id === finding);
  if (found === undefined)
    throw new UsageError({ field: "finding", value: finding, expected: "the id of a finding, as findings shows it" });
  return { from: new Date(found.from.getTime() - MARGIN_MS), until: new Date(found.until.getTime() + MARGIN_MS) };
}

export async function endHold(desk: Desk, { id, by }: { id: number; by?: string | undefined }): Promise<HoldRow> {
  const now = new Date();
  return entering(desk, async () => {
    await perform(desk.connection, endHoldQuestion, { id, at: now, by: by ?? desk.surroundings.who });
    return holdOf(desk.connection, id, now);
  });
}

async function holdOf(connection: DuckDBConnection, id: number, now: Date): Promise<HoldRow> {
  const hold = (await listHolds(connection, null, now)).find((each) => each.id === id);
  if (hold === undefined) throw new UsageError({ field: "id", value: id, expected: "the id of a hold, as hold list shows it" });
  return hold;
}
