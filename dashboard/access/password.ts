// Passwords: what is asked of one, and how it is kept (scrypt, RFC 7914).
import { randomBytes, scrypt, timingSafeEqual } from "node:crypto";
import { UsageError } from "../../shared/errors.ts";

export const shortestPassword = 12;
/** Beyond this a password is an attack on our processor, not a secret. */
export const longestPassword = 256;

export interface Cost {
  n: number;
  r: number;
  p: number;
}

/** 64 MiB and about half a second; OWASP Password Storage Cheat Sheet, section scrypt: "N=2^16 (64 MiB), r=8 (1024 bytes), p=2". */
export const fullCost: Cost = { n: 2 ** 16, r: 8, p: 2 };

const saltBytes = 16;
const keyBytes = 32;

/** Guesses (as a power of ten) below which a password counts as common: an afternoon of one processor against our hash. */
const commonBelow = 8;

/** Characters as a person counts them, in one form whatever keyboard typed them (NFKC, as NIST SP 800-63B 3.1.1.2 advises). */
const normal = (password: string): string => password.normalize("NFKC");

/**
 * Refuses what is too short, too long, or common: found among the most used passwords and words, a row of keys, a repetition, or
 * one of `about` (the account's and the workshop's names) with little added. Nothing else is asked of it.
 */
export async function refuseWeak(password: string, about: readonly string[]): Promise<void> {
  const length = [...normal(password)].length;
  const refuse = (expected: string): never => {
    throw new UsageError({ field: "password", value: null, expected });
  };
  if (length < shortestPassword) refuse(`at least ${shortestPassword} characters; four words that don't belong together will do`);
  if (length > longestPassword) refuse(`at most ${longestPassword} characters`);
  const common = await guesser();
  if (common.check(normal(password), [...about]).guessesLog10 < commonBelow)
    refuse("one that isn't among the first that anybody would try; four words that don't belong together will do");
}

let made: Promise<{ check(password: string, about: string[]): { guessesLog10: number } }> | undefined;

async function guesser() {
  made ??= (async () => {
    const [{ ZxcvbnFactory }, { adjacencyGraphs, dictionary }] = await Promise.all([
      import("@zxcvbn-ts/core"),
      import("@zxcvbn-ts/language-common"),
    ]);
    return new ZxcvbnFactory({ dictionary, graphs: adjacencyGraphs });
  })();
  return made;
}

/** `scrypt$n$r$p$salt$key`, the last two in base64. */
export async function hashOfPassword(password: string, cost: Cost = fullCost): Promise<string> {
  const salt = randomBytes(saltBytes);
  const key = await derived(password, salt, cost);
  return ["scrypt", cost.n, cost.r, cost.p, salt.toString("base64"), key.toString("base64")].join("$");
}

export async function isPassword(password: string, kept: string): Promise<boolean> {
  const [, n, r, p, salt, key] = kept.split("$");
  const expected = Buffer.from(key ?? "", "base64");
  if (expected.length !== keyBytes) return false;
  const actual = await derived(password, Buffer.from(salt ?? "", "base64"), { n: Number(n), r: Number(r), p: Number(p) });
  return timingSafeEqual(expected, actual);
}

/** Whether it was kept at another cost than today's and should be hashed anew at the next sign-in. */
export const isOfOtherCost = (kept: string, cost: Cost): boolean => !kept.startsWith(`scrypt$${cost.n}$${cost.r}$${cost.p}$`);

/** What scrypt asks for beside its own 128·n·r bytes. */
const smallestRoom = 2 ** 20;
const atOnce = 2;
const mostWaiting = 16;
let running = 0;
const waiting: (() => void)[] = [];

/** So many sign-ins wait already that one more would only wait longer. */
export class TooManyAtOnce extends Error {}

/** Few at once, since each takes 64 MiB; throws TooManyAtOnce where too many wait. */
async function derived(password: string, salt: Buffer, { n, r, p }: Cost): Promise<Buffer> {
  if (running >= atOnce) {
    if (waiting.length >= mostWaiting) throw new TooManyAtOnce("too many passwords are being looked at");
    await new Promise<void>((go) => waiting.push(go));
  } else running += 1;
  try {
    return await new Promise((done, fail) => {
      scrypt(normal(password), salt, keyBytes, { N: n, r, p, maxmem: 256 * n * r + smallestRoom }, (error, key) =>
        error ? fail(error) : done(key),
      );
    });
  } finally {
    const next = waiting.shift();
    if (next) next();
    else running -= 1;
  }
}
