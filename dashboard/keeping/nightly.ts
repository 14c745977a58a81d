// What `serve` does by itself for the store's keep: a backup each night, the oldest ones away, a rewriting that a crash cut short.
import { existsSync, readdirSync, rmSync } from "node:fs";
import { join, resolve, sep } from "node:path";
import { ask, question } from "../../shared/question.ts";
import type { Store } from "../../shared/store.ts";
import { loadWorkshop, pathBeside } from "../../shared/workshop.ts";
import { inTurn, look } from "../access/turn.ts";
import { backUp } from "./backup.ts";

const nightlyDue = question(import.meta.url, "../questions/nightly-due.sql");
const forgetCopy = question(import.meta.url, "../questions/forget-copy.sql");

export interface KeepingSettings {
  store: Store;
  workshop: string;
  log: (line: string) => void;
  /** What a test hands in. */
  now?: () => Date;
  everyMs?: number;
}

const fiveMinutes = 300_000;
const nameOf = (day: string): string => `almanac-${day}.almanac`;
const isNightly = (name: string): boolean => /^almanac-\d{4}-\d\d-\d\d\.almanac$/.test(name);

/** Looks every few minutes whether something is to be done; what fails is said in the log and tried again. */
export function startKeeping(settings: KeepingSettings): { close(): Promise<void> } {
  const { log, everyMs = fiveMinutes } = settings;
  let working: Promise<void> = Promise.resolve();
  let isWorking = false;
  const tick = () => {
    if (isWorking) return;
    isWorking = true;
    working = keepOnce(settings)
      .then(() => undefined)
      .catch((error: unknown) => log(`nightly backup: ${error instanceof Error ? error.message : error}`))
      .finally(() => {
        isWorking = false;
      });
  };
  tick();
  const timer = setInterval(tick, everyMs);
  timer.unref();
  return {
    async close() {
      clearInterval(timer);
      await working;
    },
  };
}

/** Makes the nightly backup where it is due; gives its path, null where it isn't. */
export async function keepOnce({ store, workshop: path, log, now = () => new Date() }: KeepingSettings): Promise<string | null> {
  // Before the first run's end there is nothing to keep.
  if (!existsSync(path)) return null;
  const workshop = loadWorkshop(path);
  const { backup, workshop: place } = workshop.workshop;
  if (backup === undefined) return null;
  const folder = resolve(pathBeside(path, backup.folder));
  const at = now();
  const [due] = await look(store, (connection) =>
    ask<{ is_due: boolean; day: string }>(connection, nightlyDue, {
      zone: place.zone,
      now: at,
      hour: backup.at,
      folder: folder + sep,
    }),
  );
  if (!due?.is_due) return null;
  const file = join(folder, nameOf(due.day));
  const { bytes } = await backUp(store, workshop, file, at);
  log(`nightly backup: ${file}, ${bytes} bytes, read back whole`);
  const old = readdirSync(folder).filter(isNightly).sort().reverse().slice(backup.keep);
  for (const name of old) {
    const gone = join(folder, name);
    rmSync(gone, { force: true });
    await inTurn(store, (connection) => ask(connection, forgetCopy, { path: gone }));
  }
  return file;
}
