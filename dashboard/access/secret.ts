// Secrets that only their holder keeps: made here, shown once, stored as a hash.
import { createHash, randomBytes, timingSafeEqual } from "node:crypto";

const secretBytes = 32;

/** 256 random bits, fit for an address, a header and a cookie. */
export const newSecret = (): string => randomBytes(secretBytes).toString("base64url");

/** What is stored of it. A secret of 256 bits needs no slow hash: it can't be guessed. */
export const hashOfSecret = (secret: string): string => createHash("sha256").update(secret, "utf8").digest("hex");

/** Whether two stored hashes are the same, in a time that doesn't tell where they differ. */
export function isSameHash(one: string, other: string): boolean {
  const [a, b] = [Buffer.from(one, "utf8"), Buffer.from(other, "utf8")];
  return a.length === b.length && timingSafeEqual(a, b);
}

/** The one of `kept` whose hash is that of `secret`; every one is looked at, found or not. */
export function findBySecret<Kept extends { hash: string }>(kept: readonly Kept[], secret: string): Kept | null {
  const hash = hashOfSecret(secret);
  let found: Kept | null = null;
  for (const one of kept) if (isSameHash(one.hash, hash)) found = one;
  return found;
}
