// The model of demand, kept for as long as the store stays as it is: a page that tries one "what if" after another waits once.
import { type DemandAnswer, type DemandModel, demandModel, type MonthsUsed } from "../../analytics/index.ts";
import { ask, question } from "../../shared/question.ts";
import type { Store } from "../../shared/store.ts";
import type { Desk } from "../commands/command.ts";
import { spanOfLog } from "../upkeep.ts";

const stateQuestion = question(import.meta.url, "./state.sql");

interface Kept {
  state: string;
  models: Map<string, Promise<DemandModel | null>>;
}

const keptOf = new WeakMap<Store, Kept>();
/** As many spans of one store are kept. */
const most = 6;

/**
 * The model of the desk's span, as far as the log goes. Kept where the answer is as of now; what is asked as of an earlier moment is
 * worked out anew.
 */
export async function modelOf(
  desk: Desk,
  who: { name: string; isUsed?: MonthsUsed } = { name: "all" },
): Promise<DemandModel | null> {
  const { connection, store, span, seed } = desk;
  const { lastEvent } = await spanOfLog(connection);
  if (lastEvent === null) return null;
  const asOf = span.asOf < lastEvent ? span.asOf : lastEvent;
  const made = () => demandModel(connection, { ...span, asOf }, { seed, ...(who.isUsed ? { isUsed: who.isUsed } : {}) });
  if (asOf < lastEvent) return made();
  const [row] = await ask<{ state: string }>(connection, stateQuestion);
  const state = row!.state;
  let kept = keptOf.get(store);
  if (kept?.state !== state) {
    kept = { state, models: new Map() };
    keptOf.set(store, kept);
  }
  const key = JSON.stringify([who.name, span.since ?? null, span.until ?? null, span.zone, seed]);
  const known = kept.models.get(key);
  if (known) return known;
  const making = made();
  kept.models.set(key, making);
  if (kept.models.size > most) kept.models.delete(kept.models.keys().next().value as string);
  try {
    return await making;
  } catch (error) {
    kept.models.delete(key);
    throw error;
  }
}

const answersOf = new WeakMap<DemandModel, Map<string, DemandAnswer>>();

/** The answer to the same question, from the same model, once. */
export function answerOnce(model: DemandModel, key: string, made: () => DemandAnswer): DemandAnswer {
  const known = answersOf.get(model) ?? new Map<string, DemandAnswer>();
  answersOf.set(model, known);
  const found = known.get(key) ?? made();
  known.set(key, found);
  if (known.size > 32) known.delete(known.keys().next().value as string);
  return found;
}
