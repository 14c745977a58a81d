// Badge numbers as they are stored: keyed hashes, so that the store alone tells nobody whose badge it was.
import { createHmac, randomBytes } from "node:crypto";
import { chmodSync, linkSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { FailedError } from "./errors.ts";

/** Every stored hash begins with it; no card reader writes it. */
const MARK = "b~";
const KEY_BYTES = 32;
const HASH_DIGITS = 20;
/** Far more than a workshop's badges; a log of nonsense must not fill the memory. */
const MOST_REMEMBERED = 100_000;

/** Whether a text is a badge as `badgeHasher` stores it. */
export const isHashedBadge = (text: string): boolean => new RegExp(`^${MARK}[0-9a-f]{${HASH_DIGITS}}$`).test(text);

/** Where the key of a store's badge hashes lies: beside it, never in it. */
export const badgeKeyPath = (storePath: string): string => `${storePath}.key`;

/** Every name that stands in for a forgotten badge begins with it. */
const STAND_IN = "gone~";

/** Whether a text stands in for the badge of somebody who was forgotten. */
export const isStandIn = (text: string): boolean => /^gone~[0-9a-f]{12}$/.test(text);

/** A new name for a forgotten badge's lines: by chance, so that it says nothing of the badge. */
export const newStandIn = (): string => STAND_IN + randomBytes(6).toString("hex");

/** What a key is good for. */
export interface BadgeKey {
  /** A badge as written, as it is stored: the first 80 bits of HMAC-SHA256. */
  hash(badge: string): string;
  /** By what a forgotten badge is known again, from its hash. */
  mark(hashed: string): string;
  /** Tells this key from others and nothing about it. */
  readonly fingerprint: string;
}

/** The key in `path`, made (random, mode 600) where there is none. Throws FailedError where it can't be read or made. */
export function badgeKey(path: string): BadgeKey {
  const key = loadOrMakeKey(path);
  const digest = (text: string): string => createHmac("sha256", key).update(text, "utf8").digest("hex");
  return {
    hash: (badge) => MARK + digest(badge).slice(0, HASH_DIGITS),
    mark: (hashed) => digest(`forgotten ${hashed}`).slice(0, 32),
    fingerprint: digest("which key").slice(0, 16),
  };
}

/**
 * How a workshop stores badges. `hashed`: under the key in `keyPath`, without which nobody can say whose a stored badge was, nor
 * join new events to old ones. `kept`: as written, and no key is made. Throws FailedError where the key can't be read or made.
 */
export function badgeHasher(keyPath: string, badges: "hashed" | "kept"): (badge: string) => string {
  return badges === "kept" ? (badge) => badge : remembering(badgeKey(keyPath).hash);
}

/**
 * The same, but that a forgotten badge comes out as what stands in for it. `standIns` is by mark; where it is empty and badges are
 * kept no key is needed.
 */
export function badgeStorer(
  key: BadgeKey | null,
  badges: "hashed" | "kept",
  standIns: ReadonlyMap<string, string>,
): (badge: string) => string {
  if (key === null) return (badge) => badge;
  return remembering((badge) => {
    if (isStandIn(badge)) return badge;
    const hashed = isHashedBadge(badge) ? badge : key.hash(badge);
    return standIns.get(key.mark(hashed)) ?? (badges === "hashed" ? key.hash(badge) : badge);
  });
}

function remembering(store: (badge: string) => string): (badge: string) => string {
  const remembered = new Map<string, string>();
  return (badge) => {
    const known = remembered.get(badge);
    if (known !== undefined) return known;
    const stored = store(badge);
    if (remembered.size >= MOST_REMEMBERED) remembered.clear();
    remembered.set(badge, stored);
    return stored;
  };
}

/** Takes the key of a store away by another name, so that the next use makes a new one; null where there was none. */
export function putKeyAside(path: string, now: Date): string | null {
  const aside = `${path}.until-${now.toISOString().slice(0, 19).replaceAll(":", "")}`;
  try {
    renameSync(path, aside);
    return aside;
  } catch (error) {
    if (codeOf(error) === "ENOENT") return null;
    throw keyError(path, error);
  }
}

function loadOrMakeKey(path: string): Buffer {
  try {
    return keyFromFile(path);
  } catch (error) {
    if (error instanceof FailedError) throw error;
    if (codeOf(error) !== "ENOENT") throw keyError(path, error);
  }
  // Written aside and linked into place, so that another process sees a whole key or none, and the first one made is everyone's.
  const aside = `${path}.${process.pid}.${randomBytes(4).toString("hex")}`;
  try {
    writeFileSync(aside, `${randomBytes(KEY_BYTES).toString("hex")}\n`, { mode: 0o600, flag: "wx" });
    chmodSync(aside, 0o600);
    try {
      linkSync(aside, path);
    } catch (error) {
      if (codeOf(error) !== "EEXIST") throw error;
    } finally {
      rmSync(aside, { force: true });
    }
    return keyFromFile(path);
  } catch (error) {
    throw error instanceof FailedError ? error : keyError(path, error);
  }
}

function keyFromFile(path: string): Buffer {
  const text = readFileSync(path, "utf8").trim();
  if (!new RegExp(`^[0-9a-f]{${KEY_BYTES * 2}}$`).test(text)) {
    throw new FailedError({ field: "badge key", value: path, expected: `${KEY_BYTES * 2} hexadecimal digits, as it was made` });
  }
  return Buffer.from(text, "hex");
}

const codeOf = (error: unknown): string | undefined =>
  error instanceof Error && "code" in error ? String(error.code) : undefined;

const keyError = (path: string, error: unknown): FailedError =>
  new FailedError({ field: "badge key", value: path, expected: `a file that can be read and made (${codeOf(error)})` }, error);
