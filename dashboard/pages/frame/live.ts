// Live changes: counts them, and knows whether the server can be heard.
import { createContext } from "preact";
import { useEffect, useState } from "preact/hooks";

export interface LiveState {
  /** Grows with every change of the store; what hangs on it asks again. */
  revision: number;
  /** False from the moment the stream broke until it is back. */
  isHeard: boolean;
}

export const Live = createContext<LiveState>({ revision: 0, isHeard: true });

const address = "/api/v1/stream";

/** Listens from the moment the page is alive. After a gap it counts as changed: what happened meanwhile was not heard. */
export function useLive(): LiveState {
  const [state, setState] = useState<LiveState>({ revision: 0, isHeard: true });
  useEffect(() => {
    let wasLost = false;
    let retry: ReturnType<typeof setTimeout> | undefined;
    let stream: EventSource;
    const listen = () => {
      stream = new EventSource(address);
      stream.addEventListener("open", () => {
        setState(({ revision }) => ({ revision: wasLost ? revision + 1 : revision, isHeard: true }));
        wasLost = false;
      });
      stream.addEventListener("change", () => setState(({ revision }) => ({ revision: revision + 1, isHeard: true })));
      stream.addEventListener("error", () => {
        wasLost = true;
        setState(({ revision }) => ({ revision, isHeard: false }));
        // A browser gives up for good when the answer was no stream at all; then this asks again.
        if (stream.readyState === EventSource.CLOSED) retry = setTimeout(listen, 5_000);
      });
    };
    listen();
    return () => {
      clearTimeout(retry);
      stream.close();
    };
  }, []);
  return state;
}
