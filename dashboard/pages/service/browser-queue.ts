// The queue of this browser: one for the page, sent at once, when the network is back, and now and then.
import { useEffect, useState } from "preact/hooks";
import { type Arrived, makeQueue, type Queue, type Waiting } from "./queue.ts";

const place = "almanac-waiting";
const retryMs = 15_000;

let made: Queue | null = null;

/** Made with the first look at it, in a browser only. */
export function browserQueue(): Queue {
  made ??= makeQueue(
    {
      load: () => localStorage.getItem(place),
      save: (text) => localStorage.setItem(place, text),
      async send(path, body) {
        const response = await fetch(`/api/v1/${path}`, {
          method: "POST",
          headers: { "content-type": "application/json", accept: "application/json" },
          body: JSON.stringify(body),
        });
        const isJson = response.headers.get("content-type")?.includes("json") ?? false;
        return { status: response.status, json: isJson ? ((await response.json()) as Record<string, unknown>) : {} };
      },
    },
    newKey,
  );
  return made;
}

/** Without a secure context there is no randomUUID. */
const newKey = (): string =>
  Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");

/** What waits on this phone and what arrived last; starts sending with the page. */
export function useQueue(): { waiting: readonly Waiting[]; arrived: readonly Arrived[] } {
  const [waiting, setWaiting] = useState<readonly Waiting[]>([]);
  const [arrived, setArrived] = useState<readonly Arrived[]>([]);
  useEffect(() => {
    const queue = browserQueue();
    const stop = queue.watch((list, one) => {
      setWaiting(list);
      if (one) setArrived((before) => [...before.filter(({ about }) => about !== one.about), one]);
    });
    const flush = () => {
      setWaiting(queue.waiting());
      void queue.flush();
    };
    flush();
    const timer = setInterval(flush, retryMs);
    addEventListener("online", flush);
    addEventListener("storage", flush);
    return () => {
      stop();
      clearInterval(timer);
      removeEventListener("online", flush);
      removeEventListener("storage", flush);
    };
  }, []);
  return { waiting, arrived };
}

/** Lets this browser open the service leaves without the server, where it may (over TLS, or on this computer). */
export function useOffline(): void {
  useEffect(() => {
    if (!("serviceWorker" in navigator)) return;
    const keep = async (): Promise<void> => {
      await navigator.serviceWorker.register("/built/offline.js", { scope: "/service" });
      const { active } = await navigator.serviceWorker.ready;
      // This page came before the worker stood beside it: it keeps what the page was made of.
      const made = performance
        .getEntriesByType("resource")
        .map(({ name }) => new URL(name).pathname)
        .filter((path) => path.startsWith("/built/"));
      active?.postMessage({ keep: [...new Set([location.pathname, ...made])] });
    };
    keep().catch((error: unknown) => console.info("the service leaves can't be opened without the server", error));
  }, []);
}
