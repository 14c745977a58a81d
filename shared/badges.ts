// Badge numbers as they are stored: keyed hashes, so that the store alone tells nobody whose badge it was.
import { createHmac, randomBytes } from "node:crypto";
import { chmodSync, linkSync, readFileSync, rmSync, writeFileSync } from "node:fs";
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

/**
 * How a workshop stores badges. `hashed`: the first 80 bits of HMAC-SHA256 under the key in `keyPath`, which is made (random, mode
 * 600) where there is none; without it nobody can say whose a stored badge was, nor join new events to old ones. `kept`: as
 * written, and no key is made. Throws FailedError where the key can't be read or made.
 */
export function badgeHasher(keyPath: string, badges: "hashed" | "kept"): (badge: string) => string {
  if (badges === "kept") return (badge) => badge;
  const key = loadOrMakeKey(keyPath);
  const remembered = new Map<string, string>();
  return (badge) => {
    const known = remembered.get(badge);
    if (known !== undefined) return known;
    const hash = MARK + createHmac("sha256", key).update(badge, "utf8").digest("hex").slice(0, HASH_DIGITS);
    if (remembered.size >= MOST_REMEMBERED) remembered.clear();
    remembered.set(badge, hash);
    return hash;
  };
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
