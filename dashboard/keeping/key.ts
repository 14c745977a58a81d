// The key of the badge hashes: whether it is there and the right one, and a new beginning where it is lost.
import { existsSync } from "node:fs";
import { badgeKey, putKeyAside } from "../../shared/badges.ts";
import { keepNote, noteOfStore, openStore, type Store } from "../../shared/store.ts";
import { noteOnTrail } from "../access/trail.ts";
import { inTurn } from "../access/turn.ts";
import { keyPathOf } from "../stored-badge.ts";

export interface KeyState {
  key: string;
  state: "there" | "not needed so far" | "missing" | "another store's" | "begun anew";
  /** Where the key that was there is kept now. */
  aside: string | null;
}

export async function keyState(settings: {
  path: string;
  isToBegin: boolean;
  held: Store | undefined;
  who: string;
}): Promise<KeyState> {
  const store = settings.held ?? (await openStore(settings.path));
  try {
    const key = keyPathOf(store);
    return await inTurn(store, async (connection) => {
      if (settings.isToBegin) {
        const now = new Date();
        const aside = putKeyAside(key, now);
        await keepNote(connection, "badge-key", badgeKey(key).fingerprint);
        await noteOnTrail(connection, { who: settings.who, act: "changed", what: "badge-key" }, now);
        return { key, state: "begun anew" as const, aside };
      }
      const known = await noteOfStore(connection, "badge-key");
      const isThere = existsSync(key);
      const isOurs = isThere && (known === null || badgeKey(key).fingerprint === known);
      const state = isOurs ? "there" : isThere ? "another store's" : known === null ? "not needed so far" : "missing";
      return { key, state: state as KeyState["state"], aside: null };
    });
  } finally {
    if (!settings.held) store.close();
  }
}
