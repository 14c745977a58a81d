// What is entered on this phone, until the server has it: kept in the browser, sent in order, each with a key of its own so that it
// arrives once however often it is sent.

/** One entry on its way. */
export interface Waiting {
  key: string;
  /** The task or machine it is about, for the page. */
  about: string;
  /** Under /api/v1/. */
  path: string;
  body: Record<string, unknown>;
  /** Null while it waits; what the server said where it won't take it. */
  refused: string | null;
  /** Whether saying that it was done twice would do. */
  isMet: boolean;
}

/** What became of an entry that arrived. */
export interface Arrived {
  about: string;
  answer: Record<string, unknown>;
}

/** The outside of the queue; a test hands in another. */
export interface Outside {
  load(): string | null;
  save(text: string): void;
  send(path: string, body: unknown): Promise<{ status: number; json: Record<string, unknown> }>;
}

export interface Queue {
  waiting(): readonly Waiting[];
  add(entry: Omit<Waiting, "key" | "refused" | "isMet">): void;
  /** Sends what waits, in order, until one can't be sent. */
  flush(): Promise<void>;
  /** Takes an entry back, or off the list. */
  drop(key: string): void;
  /** It was done twice: sends it once more with that word. */
  again(key: string): void;
  watch(look: (waiting: readonly Waiting[], arrived: Arrived | null) => void): () => void;
}

// Statuses after which the same entry may do later: not signed in, too many, and whatever is the server's fault.
const LATER = new Set([401, 403, 408, 429]);

export function makeQueue({ load, save, send }: Outside, newKey: () => string): Queue {
  const watchers = new Set<(waiting: readonly Waiting[], arrived: Arrived | null) => void>();
  let flushing: Promise<void> | null = null;
  // Another tab may have sent or added meanwhile: the browser's store is the truth, not a copy here.
  const read = (): Waiting[] => {
    try {
      const list: unknown = JSON.parse(load() ?? "[]");
      return Array.isArray(list) ? (list as Waiting[]) : [];
    } catch {
      // Something else wrote there; it can't be sent, and an entry is better made anew than guessed.
      return [];
    }
  };
  const write = (list: readonly Waiting[], arrived: Arrived | null = null): void => {
    save(JSON.stringify(list));
    for (const look of watchers) look(list, arrived);
  };
  const change = (key: string, to: (entry: Waiting) => Waiting | null): void =>
    write(read().flatMap((entry) => (entry.key === key ? (to(entry) ?? []) : [entry])));

  async function sendAll(): Promise<void> {
    for (;;) {
      const next = read().find(({ refused }) => refused === null);
      if (next === undefined) return;
      let answer: Awaited<ReturnType<Outside["send"]>>;
      try {
        answer = await send(next.path, { ...next.body, key: next.key });
      } catch {
        // No network: it goes on waiting, which the page says.
        return;
      }
      const { status, json } = answer;
      if (status < 300) {
        write(
          read().filter(({ key }) => key !== next.key),
          { about: next.about, answer: json },
        );
      } else if (status >= 500 || LATER.has(status)) return;
      else
        change(next.key, (entry) => ({
          ...entry,
          refused: wordsOf(json, status),
          isMet: status === 409 && next.path === "service",
        }));
    }
  }

  const queue: Queue = {
    waiting: read,
    add(entry) {
      write([...read(), { ...entry, key: newKey(), refused: null, isMet: false }]);
    },
    flush() {
      flushing ??= sendAll().finally(() => {
        flushing = null;
      });
      return flushing;
    },
    drop: (key) => change(key, () => null),
    again: (key) => change(key, (entry) => ({ ...entry, body: { ...entry.body, twice: true }, refused: null, isMet: false })),
    watch(look) {
      watchers.add(look);
      return () => watchers.delete(look);
    },
  };
  return queue;
}

function wordsOf(json: Record<string, unknown>, status: number): string {
  const known = json.service as { by?: string | null; found?: string } | undefined;
  if (status === 409 && known) {
    return `${known.by ?? "somebody"} has just recorded it, found ${known.found}; yours is not added`;
  }
  return typeof json.detail === "string" ? json.detail : `the server answered with ${status}`;
}
