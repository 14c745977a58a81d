// A seeded generator of files that nobody would want: each mixes good lines, whose number is known, with junk of one or more kinds.
import { gzipSync } from "node:zlib";

export interface HostileFile {
  name: string;
  bytes: Uint8Array;
  /** Good lines in it, each of which must be stored. */
  good: number;
  /** Whether the file as a whole can't be read: nothing of it may be stored. */
  refused: boolean;
  kinds: string[];
}

/** Marsaglia's xorshift32: chance with a seed. */
export function chance(seed: number): (below: number) => number {
  let state = seed | 0 || 1;
  return (below) => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) % below;
  };
}

const junk: Record<string, (next: (below: number) => number) => Uint8Array> = {
  nul: () => Buffer.from("2025-01-04 10:00:00,\0\0,enable\0,x,1\n"),
  control: () => Buffer.from("\x01\x02\x1b\x1e\x1f,\x1bn,a,b,c\n"),
  "bad utf-8": () => Buffer.from([0xff, 0xfe, 0xc3, 0x28, 0x80, 0x2c, 0xed, 0xa0, 0x80, 0x0a]),
  "unclosed quote": () => Buffer.from('2025-01-04 10:00:00,"3,enable,x,1\n'),
  "stray quotes": () => Buffer.from('a"b","c"d,""",e\n'),
  "doubled quotes": (next) => Buffer.from(`${'""'.repeat(next(200))}"\n`.replace(/^/, "x,")),
  "sql and formula": () => Buffer.from(`2025-13-45 10:00:00,1,enable,"=cmd|'/C calc'!A0'); DROP TABLE event; --",1\n`),
  blank: () => Buffer.from("\n   \n\t\n"),
  "too many cells": (next) => Buffer.from(`${",x".repeat(1 + next(5000))}\n`),
  "bad time": () =>
    Buffer.from("infinity,1,enable,x,1\n99999-01-01,1,enable,x,1\n2025-02-30 00:00:00,1,enable,x,1\nNaN,1,enable,x,1\n"),
  "far numbers": () =>
    Buffer.from("2025-01-04 10:00:00,1,enable,x,99999999999999999999999\n2025-01-04 10:00:00,1,enable,x,1e5\n"),
  "long line": (next) => Buffer.from(`${"x".repeat((1 << 20) + next(1 << 19))}\n`),
  "header again": () => Buffer.from("time,station,event,badge,sequence\n"),
  braces: () => Buffer.from('{"time":"2025-01-04","station":[[[[[[}\n'),
  "right to left": () => Buffer.from("\u202e2025-01-04 10:00:00,\u0000\ufeff,\u2028,x,1\n"),
  "no ends": (next) => Buffer.from("z".repeat(next(1000))),
};

const wraps: [string, (bytes: Buffer) => Uint8Array, boolean][] = [
  ["plain", (bytes) => bytes, false],
  ["byte order mark", (bytes) => Buffer.concat([Buffer.from([0xef, 0xbb, 0xbf]), bytes]), false],
  ["gzip", (bytes) => gzipSync(bytes), false],
  ["two gzip members", (bytes) => Buffer.concat([gzipSync(bytes.subarray(0, 100)), gzipSync(bytes.subarray(100))]), false],
  ["cut gzip", (bytes) => gzipSync(bytes).subarray(0, -12), true],
  ["damaged gzip", (bytes) => damaged(gzipSync(bytes)), true],
];

function damaged(bytes: Buffer): Buffer {
  const copy = Buffer.from(bytes);
  copy[copy.length - 6] = (copy[copy.length - 6] ?? 0) ^ 0x55;
  return copy;
}

/** So many files from a seed; good lines of different files never are the same event. */
export function hostileFiles(seed: number, many: number): HostileFile[] {
  const next = chance(seed);
  const names = Object.keys(junk);
  return Array.from({ length: many }, (_, index) => {
    const kinds = new Set([names[index % names.length]!, ...Array.from({ length: next(3) }, () => names[next(names.length)]!)]);
    const ends = [["\n"], ["\r\n"], ["\r"], ["\n", "\r\n", "\r"]][next(4)]!;
    const parts: Buffer[] = [Buffer.from(`time,station,event,badge,sequence${ends[0]}`)];
    let good = 0;
    for (let block = 0; block < 3 + next(4); block++) {
      for (let line = next(6); line >= 0; line--) {
        parts.push(Buffer.from(`${goodLine(index, good)}${ends[next(ends.length)]}`));
        good++;
      }
      for (const kind of kinds) if (next(3) > 0) parts.push(Buffer.concat([Buffer.from(junk[kind]!(next)), Buffer.from("\n")]));
    }
    const [wrap, apply, refused] = wraps[next(wraps.length)]!;
    return {
      name: `${index}.csv`,
      bytes: apply(Buffer.concat(parts)),
      good,
      refused,
      kinds: [...kinds, wrap, JSON.stringify(ends)],
    };
  });
}

const badges = ["00417", "=1+1", "'; DROP TABLE event; --", "@SUM(A1)", "Łódź", "😀", "-418", "null"];

function goodLine(file: number, line: number): string {
  const time = new Date(Date.UTC(2025, 0, 1, 0, 0, file * 1000 + line)).toISOString();
  return `${time},${file % 7},${line % 2 ? "release" : "enable"},${badges[(file + line) % badges.length]},${line}`;
}
