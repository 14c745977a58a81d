// The demo, as `npm start` runs it: made, read, served; nothing of the caller's folder is touched.
import { readdirSync } from "node:fs";
import { expect, test } from "vitest";
import { emptyFolder, served } from "../support/almanac.ts";

test("an invented workshop is made, read and served, and gone afterwards", { timeout: 240_000 }, async () => {
  const folder = emptyFolder();
  const temporary = emptyFolder();
  const before = process.env.TMPDIR;
  process.env.TMPDIR = temporary.path;
  const demo = await served(folder.path, ["demo"]).finally(() => {
    if (before === undefined) delete process.env.TMPDIR;
    else process.env.TMPDIR = before;
  });
  const ask = async (path: string) => (await fetch(`${demo.address}api/v1/${path}`)).json() as Promise<Record<string, never>>;
  const { rows } = (await ask("hours")) as unknown as { rows: { machine: string; runHours: { best: number } }[] };
  expect(rows.length).toBeGreaterThan(15);
  expect(rows.every(({ runHours }) => runHours.best > 0)).toBe(true);
  const { services } = (await ask("service")) as unknown as { services: unknown[] };
  expect(services.length).toBeGreaterThan(100);
  const { readings, lastEvent } = (await ask("log")) as unknown as {
    readings: { lines: number; stored: number }[];
    lastEvent: string;
  };
  expect(readings.every(({ lines, stored }) => stored > 0.9 * lines)).toBe(true);
  expect((Date.now() - Date.parse(lastEvent)) / 3_600_000).toBeLessThan(48);
  const page = await (await fetch(demo.address)).text();
  expect(page).toMatch(/Kittiwake Yard Workshop/);
  demo.child.kill("SIGTERM");
  expect((await demo.ended).code).toBe(0);
  expect(readdirSync(folder.path)).toEqual([]);
  expect(readdirSync(temporary.path).filter((name) => name.startsWith("workshop-almanac-demo"))).toEqual([]);
  folder.remove();
  temporary.remove();
});
