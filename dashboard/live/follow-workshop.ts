// The workshop file while the dashboard is open: when it comes or changes, open pages are told and its sources start anew.
import { unwatchFile, watchFile } from "node:fs";
import type { WorkshopFile } from "../../shared/index.ts";
import { soundOrBlank } from "../run.ts";
import type { Intake } from "./intake.ts";
import { type Sources, startSources } from "./sources.ts";

const lookEveryMs = 1_000;

/** Starts the sources of a sound file; one with problems starts none, and its owner is told on the Setup leaf. */
export function followWorkshop(path: string, intake: Intake, log: (line: string) => void, onChange: () => void): Sources {
  let shown = "";
  let sources: Sources = { close: async () => undefined };
  let turn: Promise<void> = Promise.resolve();
  const watchOf = ({ workshop, isBlank }: WorkshopFile): string =>
    isBlank ? "" : JSON.stringify([workshop.watch, workshop.workshop.name]);
  const look = async (): Promise<void> => {
    const file = soundOrBlank(path);
    if (watchOf(file) === shown) return;
    shown = watchOf(file);
    await sources.close();
    sources = file.isBlank ? { close: async () => undefined } : startSources(file, intake, log);
  };
  const lookAgain = () => {
    turn = turn.then(look).catch((error: unknown) => log(`${path}: ${error instanceof Error ? error.message : error}`));
  };
  lookAgain();
  const onFile = () => {
    lookAgain();
    onChange();
  };
  watchFile(path, { interval: lookEveryMs, persistent: false }, onFile);
  return {
    async close() {
      unwatchFile(path, onFile);
      await turn;
      await sources.close();
    },
  };
}
