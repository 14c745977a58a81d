// How far back a rule of chance looks to learn what is usual.
import type { Asked } from "./rule.ts";

/** A year and the eight weeks before it. */
const HISTORY_DAYS = 420;

/**
 * A question about all of the log judges by all of it; one about a span by the fourteen months before its beginning, so that a new
 * day costs little however long the log is.
 */
export const historyFrom = ({ since }: Pick<Asked, "since">): Date | undefined =>
  since === undefined ? undefined : new Date(since.getTime() - HISTORY_DAYS * 86_400_000);
