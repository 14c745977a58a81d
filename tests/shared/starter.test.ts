import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, test } from "vitest";
import { loadProfile } from "../../shared/profile.ts";
import { starterFiles } from "../../shared/starter.ts";
import { loadWorkshop, problemsOf } from "../../shared/workshop.ts";

function laidDown(change: (text: string) => string = (text) => text): string {
  const folder = mkdtempSync(join(tmpdir(), "almanac-starter-"));
  for (const { name, text } of starterFiles()) writeFileSync(join(folder, name), change(text));
  return folder;
}

test("the starter files load without a problem", () => {
  const folder = laidDown();
  expect(problemsOf(join(folder, "workshop.yaml"))).toEqual([]);
  const { workshop, profilePath, roster } = loadWorkshop(join(folder, "workshop.yaml"));
  expect(workshop.machines.map(({ id }) => id)).toContain("planer");
  expect([profilePath, roster]).toEqual([null, []]);
  expect(loadProfile(join(folder, "profile.yaml")).fields.station?.column).toEqual(["Unit"]);
});

test("the lines that are commented out load too once they are wanted", () => {
  const folder = laidDown((text) => text.replace(/^# (profile|roster|watch|zone): /gm, "$1: "));
  writeFileSync(
    join(folder, "roster.csv"),
    "badge,person,name,role,valid_from,valid_until,machines\n00417,p1,,maintainer,,,band-saw lathe\n",
  );
  expect(problemsOf(join(folder, "workshop.yaml"))).toEqual([]);
  const { workshop, profilePath, roster } = loadWorkshop(join(folder, "workshop.yaml"));
  expect(profilePath).toBe(join(folder, "profile.yaml"));
  expect(loadProfile(join(folder, "profile.yaml")).zone).toBe("Europe/Lisbon");
  expect([workshop.watch.folder, roster[0]?.machines]).toEqual(["inbox", ["band-saw", "lathe"]]);
});

test("no word calls an empty badge holder what it is not", () => {
  for (const { text } of starterFiles()) expect(text).not.toMatch(/\bsafe\b|(?<!motor-)\boff\b/i);
});
