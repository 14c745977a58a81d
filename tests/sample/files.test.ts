import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, expect, test } from "vitest";
import { loadTruth, rowsOf, writeSampleWorkshop } from "../../sample-logs/index.ts";
import { loadProfile, loadWorkshop, problemsOf } from "../../shared/index.ts";

const folder = mkdtempSync(join(tmpdir(), "sample-files-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const made = writeSampleWorkshop({ dir: folder, seed: 3 });
const truth = loadTruth(made.truth);
const real = (name: string) => fileURLToPath(new URL(`../../sample-logs/real/${name}`, import.meta.url));

test("workshop file, profile and roster are sound", () => {
  expect(problemsOf(made.workshop)).toEqual([]);
  const { workshop, roster } = loadWorkshop(made.workshop);
  expect(workshop.machines).toHaveLength(20);
  expect(new Set(workshop.machines.flatMap(({ group }) => group ?? [])).size).toBe(12);
  expect(workshop.rooms).toHaveLength(3);
  const members = new Set(roster.map(({ person }) => person)).size;
  expect(members).toBeGreaterThanOrEqual(150);
  expect(members).toBeLessThanOrEqual(200);
});

test.each(["workplace-charging/workshop.yaml", "public-charging/workshop.yaml"])("%s is sound", (name) => {
  expect(problemsOf(real(name))).toEqual([]);
});

test("the charging log is read as it is, or with its centuries repaired", () => {
  expect(loadProfile(real("workplace-charging/profile.yaml")).earliest).toBe(2000);
  const { start, finish } = loadProfile(real("workplace-charging/profile-repaired.yaml")).fields;
  expect([start?.add_years, finish?.add_years]).toEqual([2000, 2000]);
});

test("lives end in every way, and no part outlives its true life unless worn unseen", () => {
  const lives = rowsOf<{ cause: string; age: number; life: number; ageAtStart: number }>(truth, "lives");
  expect(new Set(lives.map(({ cause }) => cause))).toEqual(new Set(["failed", "worn", "damaged", "early", "in-use"]));
  expect(lives.filter(({ cause, age, life }) => cause === "early" && age >= life)).toEqual([]);
  expect(lives.filter(({ cause, age, life }) => (cause === "failed" || cause === "worn") && age < life)).toEqual([]);
});

test("sharpened edges last less each time", () => {
  const edges = rowsOf<{ machine: string; part: string; task: string; scale: number; from: number | null }>(
    truth,
    "lives",
  ).filter(({ machine, task }) => machine === "planer" && task === "sharpen");
  expect(new Set(edges.map(({ scale }) => scale)).size).toBeGreaterThan(3);
});

test("one machine gets worse: its lives shorten", () => {
  const scales = rowsOf<{ machine: string; part: string; scale: number }>(truth, "lives")
    .filter(({ machine, part }) => machine === "drum-sander" && part === "feed-roller")
    .map(({ scale }) => scale);
  expect(scales.length).toBeGreaterThan(5);
  expect(scales.every((scale, index) => index === 0 || scale < scales[index - 1]!)).toBe(true);
});

test("one hour meter was replaced and one misread, and both show in the file as a falling reading", () => {
  const events = rowsOf<{ machine: string; what: string }>(truth, "meters");
  expect(events.map(({ what }) => what).sort()).toEqual(["misread", "replaced"]);
  const { workshop } = loadWorkshop(made.workshop);
  for (const { machine } of events) {
    const readings = workshop.machines.find(({ id }) => id === machine)?.meter_readings ?? [];
    expect(readings.some(({ hours }, index) => index > 0 && hours < readings[index - 1]!.hours)).toBe(true);
  }
});

test("wishes end in every way", () => {
  const outcomes = new Set(rowsOf<{ outcome: string }>(truth, "wishes").map(({ outcome }) => outcome));
  expect([...outcomes].sort()).toEqual(
    ["closing", "left-after-wait", "left-at-once", "out-of-order", "served", "served-after-wait", "went-to-similar"].sort(),
  );
});
