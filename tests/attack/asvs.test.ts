// The table of the standard's items: complete at level 1, and naming nothing that isn't there.
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { root } from "../support/almanac.ts";

// OWASP ASVS 5.0.0, items of level 1, from the English CSV named in ASVS.md.
const levelOne =
  `1.2.1 1.2.2 1.2.3 1.2.4 1.2.5 1.3.1 1.3.2 1.5.1 2.1.1 2.2.1 2.2.2 2.3.1 3.2.1 3.2.2 3.3.1 3.4.1 3.4.2 3.5.1 3.5.2 3.5.3
4.1.1 4.4.1 5.2.1 5.2.2 5.3.1 5.3.2 6.1.1 6.2.1 6.2.2 6.2.3 6.2.4 6.2.5 6.2.6 6.2.7 6.2.8 6.3.1 6.3.2 6.4.1 6.4.2 7.2.1 7.2.2 7.2.3
7.2.4 7.4.1 7.4.2 8.1.1 8.2.1 8.2.2 8.3.1 9.1.1 9.1.2 9.1.3 9.2.1 10.4.1 10.4.2 10.4.3 10.4.4 10.4.5 11.3.1 11.3.2 11.4.1 12.1.1
12.2.1 12.2.2 13.4.1 14.2.1 14.3.1 15.1.1 15.2.1 15.3.1`.split(/\s+/);

const text = readFileSync(join(root, "tests/attack/ASVS.md"), "utf8");

test("every item of level 1 is there once, with a state and a reason or a test", () => {
  const rows = text
    .slice(text.indexOf("## Level 1"), text.indexOf("## Level 2"))
    .split("\n")
    .map((line) => /^\| (\d+\.\d+\.\d+) +\| (met|open|not applicable) +\| (.+) \|$/.exec(line))
    .filter((row) => row !== null);
  expect(rows.map(([, item]) => item)).toEqual(levelOne);
  expect(rows.every(([, , , why]) => (why ?? "").length > 5)).toBe(true);
});

test("every file that is named is there", () => {
  const named = [...text.matchAll(/`((?:tests|dashboard)\/[\w./-]+)`/g)].map(([, path]) => path ?? "");
  expect(named.length).toBeGreaterThan(40);
  expect(named.filter((path) => !existsSync(join(root, path)))).toEqual([]);
});
