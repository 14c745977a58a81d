// The second factor: one-time codes by time (RFC 6238) from a phone or a password manager, and paper codes for the day it is lost.
import { randomInt } from "node:crypto";
import { Secret, TOTP } from "otpauth";
import { findBySecret, hashOfSecret } from "./secret.ts";

const stepSeconds = 30;
/** RFC 6238 5.2 advises one step of delay. */
const stepsAside = 1;
const paperCodes = 10;
/** No letter or digit that is taken for another; 16 of 31 are 79 bits. */
const paperLetters = "23456789abcdefghjkmnpqrstuvwxyz";
const paperLength = 16;

export const newFactor = (): string => new Secret({ size: 20 }).base32;

const totp = (factor: string, issuer = "Workshop Almanac", label = ""): TOTP =>
  new TOTP({ issuer, label, secret: Secret.fromBase32(factor), period: stepSeconds });

/** What the QR code says. */
export const addressOfFactor = (factor: string, workshop: string, name: string): string =>
  totp(factor, workshop, name).toString();

/**
 * The time step of a right code, null of a wrong one. A code works once: none of a step up to `usedStep` is right any more
 * (RFC 6238 5.2).
 */
export function stepOfCode(factor: string, code: string, usedStep: number | null, now: Date): number | null {
  const typed = code.replace(/\s/g, "");
  if (!/^\d{6}$/.test(typed)) return null;
  const aside = totp(factor).validate({ token: typed, timestamp: now.getTime(), window: stepsAside });
  if (aside === null) return null;
  const step = Math.floor(now.getTime() / 1000 / stepSeconds) + aside;
  return usedStep !== null && step <= usedStep ? null : step;
}

/** Ten codes for paper, each good once, to be shown once; `hashes` is what is kept. */
export function newPaperCodes(): { codes: string[]; hashes: string[] } {
  const codes = Array.from({ length: paperCodes }, () =>
    Array.from(
      { length: paperLength },
      (_, i) => (i && i % 4 === 0 ? "-" : "") + paperLetters[randomInt(paperLetters.length)],
    ).join(""),
  );
  return { codes, hashes: codes.map((code) => hashOfSecret(plain(code))) };
}

/** The kept hashes without the one that `code` used up; null where it is none of them. */
export function withoutPaperCode(hashes: readonly string[], code: string): string[] | null {
  const used = findBySecret(
    hashes.map((hash) => ({ hash })),
    plain(code),
  );
  return used ? hashes.filter((hash) => hash !== used.hash) : null;
}

const plain = (code: string): string => code.toLowerCase().replace(/[^0-9a-z]/g, "");
