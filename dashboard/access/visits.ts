// Visits: browsers that are signed in, kept in the store under the hash of what their cookie holds.
import session, { type SessionData } from "express-session";
import { ask, perform, question } from "../../shared/question.ts";
import type { Store } from "../../shared/store.ts";
import { hashOfSecret } from "./secret.ts";
import { inTurn, look } from "./turn.ts";

const visitQuestion = question(import.meta.url, "./questions/visit.sql");
const keepQuestion = question(import.meta.url, "./questions/keep-visit.sql");
const touchQuestion = question(import.meta.url, "./questions/touch-visit.sql");
const dropQuestion = question(import.meta.url, "./questions/drop-visits.sql");

const minute = 60_000;
/** A browser that nobody uses is signed out after this. */
export const idleMs = 60 * minute;
/** And every browser after this, used or not. */
export const longestMs = 12 * 60 * minute;
const touchMs = minute;

declare module "express-session" {
  interface SessionData {
    /** Signed in, and as whom. */
    account?: string;
    /** The password was right, the second factor is still to come. */
    halfway?: { account: string; until: number; to: string };
    /** A second factor that is being set up, not yet proved. */
    newFactor?: string;
  }
}

/** What express-session keeps its sessions in: the hash of the id, never the id. */
export class VisitStore extends session.Store {
  readonly #store: Store;
  readonly #now: () => Date;
  readonly #touched = new Map<string, number>();

  constructor(store: Store, now: () => Date) {
    super();
    this.#store = store;
    this.#now = now;
  }

  override get(id: string, done: (error: unknown, session?: SessionData | null) => void): void {
    this.#load(hashOfSecret(id)).then((found) => done(null, found), done);
  }

  override set(id: string, data: SessionData, done: (error?: unknown) => void = () => undefined): void {
    const hash = hashOfSecret(id);
    const row = { hash, account: data.account ?? null, content: JSON.stringify(data), now: this.#now() };
    inTurn(this.#store, (connection) => perform(connection, keepQuestion, row)).then(() => done(), done);
  }

  override destroy(id: string, done: (error?: unknown) => void = () => undefined): void {
    this.#drop(hashOfSecret(id)).then(() => done(), done);
  }

  override touch(id: string, _data: SessionData, done: (error?: unknown) => void = () => undefined): void {
    const hash = hashOfSecret(id);
    const now = this.#now();
    if (now.getTime() - (this.#touched.get(hash) ?? 0) < touchMs) {
      done();
      return;
    }
    if (this.#touched.size > 10_000) this.#touched.clear();
    this.#touched.set(hash, now.getTime());
    inTurn(this.#store, (connection) => perform(connection, touchQuestion, { hash, now })).then(() => done(), done);
  }

  async #load(hash: string): Promise<SessionData | null> {
    const [row] = await look(this.#store, (connection) =>
      ask<{ content: string; made_at: Date; seen_at: Date }>(connection, visitQuestion, { hash }),
    );
    if (!row) return null;
    const now = this.#now().getTime();
    if (now - row.seen_at.getTime() < idleMs && now - row.made_at.getTime() < longestMs)
      return JSON.parse(row.content) as SessionData;
    await this.#drop(hash);
    return null;
  }

  /** Ends one visit, and with it all that are over. */
  #drop(hash: string): Promise<void> {
    const now = this.#now().getTime();
    return inTurn(this.#store, (connection) =>
      perform(connection, dropQuestion, {
        hash,
        account: null,
        except: null,
        made_before: new Date(now - longestMs),
        seen_before: new Date(now - idleMs),
      }),
    );
  }
}
