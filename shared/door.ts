// Who is inside, so that what they stand on can be changed once while everybody is out: the store's file, swapped under a server.
import { AsyncLocalStorage } from "node:async_hooks";
import { FailedError } from "./errors.ts";

export interface Door {
  /** Waits while it is shut; the returned function, called once or more, says that one has left. */
  enter(): Promise<() => void>;
  /** Work that may enter again and again: whoever stays is let through even while others wait outside. */
  stay<T>(work: () => Promise<T>): Promise<T>;
  /**
   * Shuts the door, waits until all others have left, does the work and opens again. Throws FailedError where somebody else is at
   * it already, or where others stay for longer than `patienceMs`; nothing is done then.
   */
  alone<T>(work: () => Promise<T>, patienceMs: number): Promise<T>;
}

const busy = (expected: string): FailedError => new FailedError({ field: "store", value: "in use", expected });

export function makeDoor(): Door {
  const staying = new AsyncLocalStorage<{ isInside: boolean }>();
  const isInside = (): boolean => staying.getStore()?.isInside === true;
  let inside = 0;
  let opened: Promise<void> | null = null;
  let someoneLeft: () => void = () => undefined;

  async function enter(): Promise<() => void> {
    if (isInside()) return () => undefined;
    while (opened) await opened;
    inside += 1;
    let hasLeft = false;
    return () => {
      if (hasLeft) return;
      hasLeft = true;
      inside -= 1;
      someoneLeft();
    };
  }

  return {
    enter,
    async stay(work) {
      if (isInside()) return work();
      const leave = await enter();
      const stay = { isInside: true };
      try {
        return await staying.run(stay, work);
      } finally {
        stay.isInside = false;
        leave();
      }
    },
    async alone(work, patienceMs) {
      if (opened) throw busy("a moment in which nothing else rewrites it; try again when that is done");
      const others = isInside() ? 1 : 0;
      let open: () => void = () => undefined;
      opened = new Promise((done) => {
        open = done;
      });
      const deadline = Date.now() + patienceMs;
      try {
        while (inside > others) {
          const left = deadline - Date.now();
          if (left <= 0) throw busy(`others to be done with it within ${patienceMs / 1000} seconds; try again`);
          await new Promise<void>((done) => {
            const timer = setTimeout(done, left);
            someoneLeft = () => {
              clearTimeout(timer);
              done();
            };
          });
        }
        const stay = { isInside: true };
        try {
          return await staying.run(stay, work);
        } finally {
          stay.isInside = false;
        }
      } finally {
        opened = null;
        open();
      }
    },
  };
}
