// Runs one command for one caller, in this process: look at its options, set its desk, let it answer, clear the desk.
import { existsSync } from "node:fs";
import { resolve } from "node:path";
import {
  blankWorkshop,
  FailedError,
  loadWorkshop,
  openStore,
  type Store,
  storeInstantFromTyped,
  UsageError,
  type WorkshopFile,
} from "../shared/index.ts";
import { memberNeeds } from "./access/rights.ts";
import { noteOnTrail, tellingOptions } from "./access/trail.ts";
import { inTurn } from "./access/turn.ts";
import {
  type Answer,
  type Command,
  type Common,
  common,
  type Desk,
  type ForBoard,
  type StoreCommand,
  type Surroundings,
} from "./commands/command.ts";
import { refuseUnknownNames } from "./names.ts";
import { kebab, optionsFrom } from "./options.ts";
import { rowsOfAnswer } from "./render.ts";
import { storedBadgeOf } from "./stored-badge.ts";
import { besideTable } from "./tables/told-beside.ts";
import { bringUpToDate, setAsOf, spanOfLog } from "./upkeep.ts";

/** A store that somebody holds open already; the path decides whether a caller means it. */
export interface Holder {
  store: Store;
}

/** The path of the store that a command means, as seen from its caller's folder. */
export const storePath = ({ cwd }: Pick<Surroundings, "cwd">, named: unknown): string =>
  resolve(cwd, String(named ?? common.shape.store.parse(undefined)));

/**
 * Answers a command. `options` are as typed or sent, not yet looked at. With a holder the work is done on its open store;
 * else the store is opened for as long as it takes. Throws UsageError and FailedError.
 */
export async function runCommand(
  command: Command,
  options: Record<string, unknown>,
  surroundings: Surroundings,
  holder?: Holder,
): Promise<Answer> {
  const { own, shared } = split(command, options, surroundings.isForBoard ?? false);
  if (command.needs === "nothing") return command.run(surroundings, { ...own, ...shared }, holder?.store);
  if (!surroundings.isForBoard) return atStore(command, own, shared, surroundings, holder);
  try {
    return await atStore(command, own, shared, surroundings, holder);
  } catch (error) {
    // A complaint about the roster or a line of the log may hold a name or a badge.
    const expected = "no such failure; a steward who asks the same is told the reason";
    throw new FailedError({ field: "answer", value: null, expected }, error);
  }
}

async function atStore(
  command: StoreCommand,
  own: Record<string, unknown>,
  shared: Common,
  surroundings: Surroundings,
  holder: Holder | undefined,
): Promise<Answer> {
  const path = storePath(surroundings, shared.store);
  const file = resolve(surroundings.cwd, shared.workshop);
  const workshop = command.goesWithoutWorkshop ? soundOrBlank(file) : loadWorkshop(file);
  if (holder) {
    const { store } = holder;
    return store.stay(() => atDesk(command, own, shared, surroundings, store, workshop));
  }
  const isAbsent = command.needs === "reads" && !existsSync(path);
  const store = await openStore(isAbsent ? ":memory:" : path);
  try {
    return await store.stay(() => atDesk(command, own, shared, surroundings, store, workshop));
  } finally {
    store.close();
  }
}

/** The workshop file, or a blank one by this computer's own zone where there is none that can be read. */
export function soundOrBlank(file: string): WorkshopFile {
  try {
    return loadWorkshop(file);
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    const { timeZone } = new Intl.DateTimeFormat().resolvedOptions();
    return blankWorkshop(file, timeZone, existsSync(file) ? error.message : null);
  }
}

/** The board is answered by whole months within its span, as they are known now: it has no say in as-of or seed. */
const sharedWithBoard = new Set(["workshop", "store", "json", "since", "until"]);

function split(
  command: Command,
  options: Record<string, unknown>,
  isForBoard: boolean,
): { own: Record<string, unknown>; shared: Common } {
  const schema = isForBoard ? forBoardOf(command).options : command.options;
  const isShared = (name: string) => (isForBoard ? sharedWithBoard.has(name) : name in common.shape);
  const isOwn = (name: string) => name in schema.shape || !isShared(name);
  const entries = Object.entries(options);
  return {
    own: optionsFrom(schema, Object.fromEntries(entries.filter(([name]) => isOwn(name)))),
    shared: optionsFrom(common, Object.fromEntries(entries.filter(([name]) => !isOwn(name)))),
  };
}

async function atDesk(
  command: StoreCommand,
  own: Record<string, unknown>,
  shared: Common,
  surroundings: Surroundings,
  store: Store,
  workshop: WorkshopFile,
): Promise<Answer> {
  const connection = await store.connect();
  const stop = () => connection.interrupt();
  surroundings.signal.addEventListener("abort", stop);
  try {
    const zone = workshop.workshop.workshop.zone;
    const storedBadge = await storedBadgeOf(store, connection, workshop);
    const { lastEvent } = workshop.isBlank
      ? await spanOfLog(connection)
      : await bringUpToDate(store, connection, workshop, shared.seed);
    const typed = async (name: "asOf" | "since" | "until", side: "instant" | "since" | "until"): Promise<Date | undefined> =>
      shared[name] === undefined
        ? undefined
        : storeInstantFromTyped(connection, shared[name], zone, { field: kebab(name), side });
    const fallback = surroundings.asOfDefault === "now" || !lastEvent ? new Date() : lastEvent;
    const asOf = (await typed("asOf", "instant")) ?? fallback;
    if (!workshop.isBlank) await setAsOf(connection, asOf, lastEvent, shared.seed);
    const [since, until] = [await typed("since", "since"), await typed("until", "until")];
    if (since && until && since >= until)
      throw new UsageError({ field: "until", value: shared.until, expected: `a time after --since ${shared.since}` });
    const span = { since, until, asOf, zone };
    if (!surroundings.isPage && !surroundings.isForBoard && command.needs === "reads") await refuseUnknownNames(connection, own);
    const desk: Desk = {
      store,
      connection,
      workshop,
      span,
      isAsOfAsked: shared.asOf !== undefined,
      seed: shared.seed,
      surroundings,
      storedBadge,
    };
    const answer = await (surroundings.isForBoard ? forBoardOf(command) : command).run(desk, own as never);
    if (surroundings.isForTerminal && answer.list && answer.text === undefined)
      answer.beside = await besideTable(connection, command, rowsOfAnswer(answer), span, shared.asOf !== undefined, !lastEvent);
    await noteOnTrailOf(store, command, { ...own, ...shared }, answer, surroundings.who);
    return answer;
  } finally {
    surroundings.signal.removeEventListener("abort", stop);
    connection.closeSync();
  }
}

/** How the board is answered; a command that has no answer for it isn't asked by it. */
function forBoardOf(command: Command): Pick<ForBoard, "options"> & { run(desk: Desk, options: never): Promise<Answer> } {
  if (command.forBoard === "same") return command as StoreCommand;
  if (command.forBoard) return command.forBoard;
  throw new Error(`${command.name} has no answer for the board`);
}

/** Who saw member data and who changed what, before the answer is given; a store that isn't there has nothing to be seen. */
async function noteOnTrailOf(
  store: Store,
  { name, need, needs }: StoreCommand,
  options: Record<string, unknown>,
  answer: Answer,
  who: string,
): Promise<void> {
  const act = needs === "writes" ? "changed" : memberNeeds.has(need) ? "saw" : null;
  if (act === null || answer.trail === null || store.path === ":memory:") return;
  const detail = { ...tellingOptions(options), ...answer.trail };
  await inTurn(store, (connection) => noteOnTrail(connection, { who, act, what: name, detail }, new Date()));
}
