import { createHmac } from "node:crypto";
import { existsSync, mkdtempSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, test } from "vitest";
import { badgeHasher, badgeKeyPath, isHashedBadge } from "../../shared/badges.ts";
import { FailedError } from "../../shared/errors.ts";

const fresh = (): string => badgeKeyPath(join(mkdtempSync(join(tmpdir(), "almanac-badges-")), "almanac.duckdb"));

test("hashes are of HMAC-SHA256 as RFC 4231 has it, under the key in the file", () => {
  // RFC 4231, "Identifiers and Test Vectors for HMAC-SHA-224 … HMAC-SHA-512", test case 6's kind of key is longer than ours; the
  // function itself is checked by test case 1 (key 20 × 0b, data "Hi There"), then ours by the same call under its own key.
  const vector = createHmac("sha256", Buffer.alloc(20, 0x0b)).update("Hi There").digest("hex");
  expect(vector).toBe("b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7");
  const path = fresh();
  writeFileSync(path, `${"0b".repeat(32)}\n`);
  const expected = createHmac("sha256", Buffer.alloc(32, 0x0b)).update("Hi There").digest("hex").slice(0, 20);
  expect(badgeHasher(path, "hashed")("Hi There")).toBe(`b~${expected}`);
});

test("the key is made once, for its owner alone, and nothing is left beside it", () => {
  const path = fresh();
  const hash = badgeHasher(path, "hashed");
  expect(statSync(path).mode & 0o777).toBe(0o600);
  expect(readFileSync(path, "utf8")).toMatch(/^[0-9a-f]{64}\n$/);
  expect(readdirSync(join(path, ".."))).toEqual(["almanac.duckdb.key"]);
  expect(badgeHasher(path, "hashed")("00417")).toBe(hash("00417"));
});

test("equal badges hash equally, others otherwise, as text and under each key", () => {
  const [one, other] = [badgeHasher(fresh(), "hashed"), badgeHasher(fresh(), "hashed")];
  expect(one("00417")).toBe(one("00417"));
  expect(one("00417")).not.toBe(one("417"));
  expect(one("00417")).not.toBe(other("00417"));
  expect(isHashedBadge(one("00417"))).toBe(true);
  expect(["00417", "b~", `b~${"g".repeat(20)}`, ` ${one("1")}`].map(isHashedBadge)).toEqual([false, false, false, false]);
});

test("many badges have many hashes, and the first is still the same", () => {
  const hash = badgeHasher(fresh(), "hashed");
  const first = hash("0");
  const hashes = new Set(Array.from({ length: 120_000 }, (_, badge) => hash(String(badge))));
  expect(hashes.size).toBe(120_000);
  expect(hash("0")).toBe(first);
});

test("kept badges are as written, and no key is made", () => {
  const path = fresh();
  expect(badgeHasher(path, "kept")("00417")).toBe("00417");
  expect(existsSync(path)).toBe(false);
});

test("a key that is none is a failure, never replaced", () => {
  const path = fresh();
  writeFileSync(path, "secret\n");
  expect(() => badgeHasher(path, "hashed")).toThrow(FailedError);
  expect(readFileSync(path, "utf8")).toBe("secret\n");
  expect(() => badgeHasher(join(path, "below", "x.key"), "hashed")).toThrow(FailedError);
});
