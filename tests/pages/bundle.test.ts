// What a first visit loads: every script together stays small. `npm run build` first; `npm test` does.
import { readdirSync, readFileSync } from "node:fs";
import { gzipSync } from "node:zlib";
import { expect, test } from "vitest";

const folder = new URL("../../dist/dashboard/pages-built/assets/", import.meta.url);

test("all scripts together are under 250 kB compressed, styles under 10", () => {
  const sizeOf = (ending: string): number =>
    readdirSync(folder)
      .filter((name) => name.endsWith(ending))
      .reduce((sum, name) => sum + gzipSync(readFileSync(new URL(name, folder))).length, 0);
  expect(sizeOf(".js")).toBeGreaterThan(50_000);
  expect(sizeOf(".js")).toBeLessThan(250_000);
  expect(sizeOf(".css")).toBeLessThan(10_000);
});

test("scripts stand by themselves: nothing is fetched from another place", () => {
  const scripts = readdirSync(folder).filter((name) => name.endsWith(".js"));
  for (const name of scripts) {
    const text = readFileSync(new URL(name, folder), "utf8");
    expect(text).not.toMatch(/import\s*\(?\s*["'`]https?:/);
    expect(text).not.toMatch(/\bfetch\(\s*["'`]https?:/);
  }
  expect(scripts.length).toBeGreaterThan(1);
});
