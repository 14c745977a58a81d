// Stamps that only their neighbours can explain: hours that a zone repeats or leaves out, and clocks that were not set.
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, type Bound, perform, question } from "../../shared/question.ts";

const gatherChanging = question(import.meta.url, "./gather-changing.sql");
const countChanging = question(import.meta.url, "./count-changing.sql");
const settleGaps = question(import.meta.url, "./settle-gaps.sql");
const settleRepeated = question(import.meta.url, "./settle-repeated.sql");
const clearChanging = question(import.meta.url, "./clear-log-changing.sql");
const countBackward = question(import.meta.url, "./count-backward.sql");
const countSetBack = question(import.meta.url, "./count-set-back.sql");
const markSetBack = question(import.meta.url, "./mark-set-back.sql");
const settleUnset = question(import.meta.url, "./settle-unset.sql");
const findLastGood = question(import.meta.url, "./find-last-good.sql");
const listTextless = question(import.meta.url, "./list-textless.sql");
const fillText = question(import.meta.url, "./fill-text.sql");
const dropOwnUnset = question(import.meta.url, "./drop-own-unset.sql");
const gatherMoved = question(import.meta.url, "./gather-moved.sql");
const dropMoved = question(import.meta.url, "./drop-moved.sql");
const moveEvents = question(import.meta.url, "./move-events.sql");
const findMoved = question(import.meta.url, "./find-moved.sql");
const clearMoved = question(import.meta.url, "./clear-log-moved.sql");

/** Late lines are normal; a file with more steps back than one in a thousand lines is not in the order of time. */
const ORDERLY = 1000;

export interface Clocks {
  zone: string;
  earliest: number;
  /** Whether stamps that spring leaves out are moved on. */
  shifts: boolean;
  /** First and last stamp of the good rows; null where there are none. */
  from: Date | null;
  until: Date | null;
  hasUnset: boolean;
  /** Whether a boot or a counter can tell that the clock was set back. */
  maySetBack: boolean;
  hasLocal: boolean;
  /** The live source whose earlier batches stand before these lines; null for a file. */
  source: string | null;
  /** How the file is read a second time: path, compression, longest, spooled. */
  again: Record<string, Bound>;
}

/**
 * Settles what can be settled of the staged rows; the rest gets a state that says why not. Badges are noted before. Gives whether
 * anything had to be settled.
 */
export async function settleClocks(connection: DuckDBConnection, clocks: Clocks): Promise<boolean> {
  const { zone, from, until } = clocks;
  let isInOrder: boolean | undefined;
  const inOrder = async (): Promise<boolean> => {
    if (isInOrder === undefined) {
      const [row] = await ask<{ rows: number; backward: number }>(connection, countBackward);
      isInOrder = row!.backward <= 1 + row!.rows / ORDERLY;
    }
    return isInOrder;
  };
  let hasChanging = false;
  if (clocks.hasLocal && from !== null) {
    await perform(connection, gatherChanging, { zone, from, until });
    const [changing] = await ask<{ missing: number; repeated: number }>(connection, countChanging);
    hasChanging = changing!.missing + changing!.repeated > 0;
    if (changing!.missing > 0) await perform(connection, settleGaps, { shifts: clocks.shifts });
    if (changing!.repeated > 0) await perform(connection, settleRepeated, { in_order: await inOrder() });
    await perform(connection, clearChanging);
  }
  let hasUnset = clocks.hasUnset;
  if (clocks.maySetBack) {
    const [row] = await ask<{ boots: number; counted_on: number }>(connection, countSetBack);
    if (row!.boots + row!.counted_on > 0 && (await inOrder())) {
      await perform(connection, markSetBack);
      hasUnset = true;
    }
  }
  if (hasUnset) {
    const [before] =
      clocks.source === null
        ? []
        : await ask<{ before_us: number; anchor: string }>(connection, findLastGood, { file: clocks.source });
    await perform(connection, settleUnset, {
      earliest: clocks.earliest,
      now: new Date(),
      before_us: before?.before_us ?? null,
      before_anchor: before?.anchor ?? null,
    });
  }
  const textless = await ask<{ row_number: number }>(connection, listTextless);
  if (textless.length > 0)
    await perform(connection, fillText, { ...clocks.again, rows: JSON.stringify(textless.map((row) => row.row_number)) });
  return hasChanging || hasUnset;
}

export interface Moved {
  station: string;
  first_at: Date;
  last_at: Date;
}

/** Finds the events of unset clocks that are stored already, and moves those that the log places better. */
export async function moveUnset(connection: DuckDBConnection): Promise<Moved[]> {
  await perform(connection, dropOwnUnset);
  await perform(connection, gatherMoved);
  await perform(connection, dropMoved);
  const moved = await ask<Moved>(connection, findMoved);
  if (moved.length > 0) await perform(connection, moveEvents);
  await perform(connection, clearMoved);
  return moved;
}
