// Passwords, one-time codes, tokens: what is kept, what is refused, what was published about the methods.
import { Secret, TOTP } from "otpauth";
import { describe, expect, it } from "vitest";
import { addressOfFactor, newFactor, newPaperCodes, stepOfCode, withoutPaperCode } from "../../dashboard/access/factor.ts";
import { hashOfPassword, isOfOtherCost, isPassword, refuseWeak } from "../../dashboard/access/password.ts";
import { findBySecret, hashOfSecret, isSameHash, newSecret } from "../../dashboard/access/secret.ts";

const small = { n: 16, r: 1, p: 1 };

describe("a password", () => {
  it("is derived as RFC 7914 says", async () => {
    // RFC 7914, section 12, second vector: scrypt("password", "NaCl", N=1024, r=8, p=16), the first 32 of its 64 octets.
    const key = Buffer.from("fdbabe1c9d3472007856e7190d01e9fe7c6ad7cbc8237830e77376634b373162", "hex").toString("base64");
    const kept = `scrypt$1024$8$16$${Buffer.from("NaCl").toString("base64")}$${key}`;
    expect(await isPassword("password", kept)).toBe(true);
    expect(await isPassword("Password", kept)).toBe(false);
  });

  it("is kept under a salt of its own and found again", async () => {
    const [one, other] = await Promise.all([
      hashOfPassword("plum cart thistle nine", small),
      hashOfPassword("plum cart thistle nine", small),
    ]);
    expect(one).not.toBe(other);
    expect(await isPassword("plum cart thistle nine", one)).toBe(true);
    expect(await isPassword("plum cart thistle nina", one)).toBe(false);
    expect(await isPassword("", one)).toBe(false);
  });

  it("is the same whichever way its letters were composed", async () => {
    const kept = await hashOfPassword("mu\u0308hle am fluss", small);
    expect(await isPassword("m\u00fchle am fluss", kept)).toBe(true);
  });

  it("shows whether it is kept at today's cost", async () => {
    const kept = await hashOfPassword("plum cart thistle nine", small);
    expect(isOfOtherCost(kept, small)).toBe(false);
    expect(isOfOtherCost(kept, { ...small, n: 32 })).toBe(true);
  });

  it("that nothing decodes opens nothing", async () => {
    expect(await isPassword("x", "scrypt$$$$$")).toBe(false);
    expect(await isPassword("", "")).toBe(false);
  });

  it.each([
    "short word",
    "eleven char",
    "password1234",
    "passwordpassword",
    "aaaaaaaaaaaaaaaa",
    "qwertyuiop12",
    "1q2w3e4r5t6y",
    "iloveyou1234",
  ])("%j is refused", async (password) => {
    await expect(refuseWeak(password, [])).rejects.toMatchObject({ complaint: { field: "password", value: null } });
  });

  it("that is the account's or the workshop's name with little added is refused", async () => {
    await expect(refuseWeak("heron row workshop", ["Heron Row Workshop"])).rejects.toThrow(/first that anybody would try/);
    await expect(refuseWeak("annabelle2026!", ["annabelle"])).rejects.toThrow(/first that anybody would try/);
  });

  it.each(["plum cart thistle nine", "kBX8q2!lmv0Z", "zebralampriver", "übermut käse fenster"])(
    "%j will do, without any rule of what must be in it",
    async (password) => {
      await expect(refuseWeak(password, ["ann", "Heron Row Workshop"])).resolves.toBeUndefined();
    },
  );

  it("counts characters, not bytes, and has an end", async () => {
    await expect(refuseWeak("日本語".repeat(3), [])).rejects.toThrow(/at least 12/);
    await expect(refuseWeak("ab3".repeat(100), [])).rejects.toThrow(/at most 256/);
  });

  it("is never part of the complaint", async () => {
    const error = await refuseWeak("password1234", []).catch((caught: Error) => caught);
    expect(JSON.stringify(error) + String(error)).not.toContain("password1234");
  });
});

describe("a one-time code", () => {
  // RFC 6238, Appendix B, mode SHA1: the last six of its eight digits. The secret is the ASCII text 12345678901234567890.
  const secret = Secret.fromLatin1("12345678901234567890").base32;
  it.each([
    [59, "287082"],
    [1_111_111_109, "081804"],
    [1_111_111_111, "050471"],
    [1_234_567_890, "005924"],
    [2_000_000_000, "279037"],
    [20_000_000_000, "353130"],
  ])("at %i s is %s", (seconds, code) => {
    expect(stepOfCode(secret, code, null, new Date(seconds * 1000))).toBe(Math.floor(seconds / 30));
  });

  it("is taken one step early or late, not two", () => {
    const at = (seconds: number) => stepOfCode(secret, "287082", null, new Date(seconds * 1000));
    expect([at(0), at(29), at(59), at(60), at(89), at(90), at(120)]).toEqual([1, 1, 1, 1, 1, null, null]);
  });

  it("works once, and none before it works after it", () => {
    const now = new Date(59_000);
    const step = stepOfCode(secret, "287082", null, now);
    expect(stepOfCode(secret, "287082", step, now)).toBeNull();
    const earlier = TOTP.generate({ secret: Secret.fromBase32(secret), timestamp: 29_000 });
    expect(stepOfCode(secret, earlier, null, now)).toBe(0);
    expect(stepOfCode(secret, earlier, step, now)).toBeNull();
  });

  it.each(["", "28708", "2870822", "28708x", "abcdef", "٢٨٧٠٨٢"])("%j is none", (code) => {
    expect(stepOfCode(secret, code, null, new Date(59_000))).toBeNull();
  });

  it("says whose it is to an authenticator", () => {
    const address = new URL(addressOfFactor(newFactor(), "Heron Row", "ann"));
    expect(address.protocol).toBe("otpauth:");
    expect(address.searchParams.get("issuer")).toBe("Heron Row");
    expect(address.searchParams.get("secret")).toMatch(/^[A-Z2-7]{32}$/);
  });
});

describe("recovery codes", () => {
  it("each work once, however they are typed", () => {
    const { codes, hashes } = newPaperCodes();
    expect(new Set(codes).size).toBe(10);
    for (const code of codes) expect(code).toMatch(/^([2-9a-hj-km-np-z]{4}-){3}[2-9a-hj-km-np-z]{4}$/);
    const left = withoutPaperCode(hashes, ` ${codes[3]?.toUpperCase().replaceAll("-", " ")} `);
    expect(left).toHaveLength(9);
    expect(withoutPaperCode(left ?? [], codes[3] ?? "")).toBeNull();
    expect(withoutPaperCode(left ?? [], codes[4] ?? "")).toHaveLength(8);
    expect(withoutPaperCode(hashes, "")).toBeNull();
  });
});

describe("a secret", () => {
  it("has 256 bits, is new each time, and is found by its hash only", () => {
    const secrets = Array.from({ length: 50 }, newSecret);
    expect(new Set(secrets).size).toBe(50);
    for (const secret of secrets) expect(Buffer.from(secret, "base64url")).toHaveLength(32);
    const kept = secrets.map((secret) => ({ hash: hashOfSecret(secret) }));
    expect(findBySecret(kept, secrets[7] ?? "")).toBe(kept[7]);
    expect(findBySecret(kept, kept[7]?.hash ?? "")).toBeNull();
    expect(findBySecret(kept, "")).toBeNull();
  });

  it("is compared whatever the lengths", () => {
    expect(isSameHash("aa", "aab")).toBe(false);
    expect(isSameHash("", "")).toBe(true);
  });
});
