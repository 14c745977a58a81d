// A folder that logs are put into, or grow in: each file that comes or changes is delivered, one after the other.
import { join } from "node:path";
import { watch } from "chokidar";

export interface FolderDelivery {
  /** As found in the folder. */
  name: string;
  path: string;
  /** Whether the file may still be written: an unended last line is then left for the next time. */
  isGrowing: boolean;
}

export interface FolderWatch {
  folder: string;
  /** Ingests the file; the next one waits for it. */
  deliver: (delivery: FolderDelivery) => Promise<void>;
  /** Told what `deliver` threw; the rest goes on. */
  onError: (error: unknown, name: string) => void;
  /** A file that changes without end is read this often at most. */
  everyMs?: number;
  /** After so long without a change a last line counts even if nothing ends it. */
  restMs?: number;
}

export interface Live {
  /** Resolves once nothing that comes is missed. */
  ready: Promise<void>;
  close(): Promise<void>;
}

/** Files on their way into the folder go by such names. */
const isPassing = (path: string): boolean => /(^|[\\/])\.[^\\/]*$|~$|\.(tmp|part|partial|crdownload|swp)$/i.test(path);

/** Watches until closed. What is in the folder already is delivered first: lines that are stored are duplicates then. */
export function watchFolder({ folder, deliver, onError, everyMs = 1000, restMs = 10_000 }: FolderWatch): Live {
  const waiting = new Map<string, boolean>();
  const timers = new Map<string, NodeJS.Timeout>();
  const lastRead = new Map<string, number>();
  let running: Promise<void> | null = null;
  let closed = false;

  const run = async (): Promise<void> => {
    for (let next = waiting.entries().next(); !next.done && !closed; next = waiting.entries().next()) {
      const [name, isGrowing] = next.value;
      waiting.delete(name);
      lastRead.set(name, Date.now());
      await deliver({ name, path: join(folder, name), isGrowing }).catch((error: unknown) => onError(error, name));
    }
    running = null;
  };
  const queue = (name: string, isGrowing: boolean): void => {
    if (closed) return;
    waiting.set(name, isGrowing);
    running ??= run();
  };
  const after = (name: string, delay: number, isGrowing: boolean): void => {
    clearTimeout(timers.get(name));
    timers.set(
      name,
      setTimeout(() => {
        queue(name, isGrowing);
        if (isGrowing) after(name, restMs, false);
        else timers.delete(name);
      }, delay),
    );
  };
  const noticed = (name: string): void => {
    // Soon, but not more often than everyMs; then once more when it has come to rest.
    const due = Math.max(50, (lastRead.get(name) ?? 0) + everyMs - Date.now());
    after(name, due, true);
  };

  const watcher = watch(".", { cwd: folder, depth: 0, ignored: (path) => isPassing(path) && path !== "." });
  watcher.on("add", noticed);
  watcher.on("change", noticed);
  watcher.on("error", (error) => onError(error, folder));
  return {
    ready: new Promise((resolve) => {
      watcher.once("ready", () => resolve());
    }),
    close: async () => {
      closed = true;
      for (const timer of timers.values()) clearTimeout(timer);
      await watcher.close();
      await running;
    },
  };
}
