// Which lives a service record tells, by the rules: what ends one, what cuts one short, and what nobody knows.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { agedLives, lifespansOf } from "../../analytics/life/lives.ts";
import type { ServiceRecord, Task } from "../../analytics/service/tasks.ts";

const known = new Date("2025-01-01T00:00:00Z");
const now = new Date("2026-01-01T00:00:00Z");
const hour = 3_600_000;
const at = (hours: number): Date => new Date(known.getTime() + hours * hour);
/** A machine that is always on: its hours are the clock's. */
const since = (instant: Date): number => (now.getTime() - instant.getTime()) / hour;

function task(id: string, more: Partial<Task> = {}): Task {
  return {
    machine: "planer",
    machineName: "Planer",
    hazard: "high",
    kind: "stations",
    part: "knives",
    partName: "knives",
    class: "planer-knives",
    task: id,
    taskName: id,
    renews: id === "replace",
    inspects: id === "inspect",
    resets: id === "replace" ? ["sharpen"] : [],
    atMost: null,
    isolate: null,
    who: null,
    source: null,
    note: null,
    costPlanned: null,
    costFailure: null,
    price: null,
    leadDays: null,
    stock: null,
    fittedAt: null,
    usedAtStart: null,
    reading: null,
    limits: [{ basis: "hours", every: 60, firstAfter: null }],
    ...more,
  };
}

let nextId = 1;
const record = (hours: number, id: string, found: ServiceRecord["found"], more: Partial<ServiceRecord> = {}): ServiceRecord => ({
  id: nextId++,
  machine: "planer",
  part: "knives",
  task: id,
  doneAt: at(hours),
  doneUntil: null,
  found,
  why: null,
  readings: {},
  serial: null,
  ...more,
});

function livesOf(
  of: string,
  records: ServiceRecord[],
  { fitted, used, isByClock = false }: { fitted?: number; used?: number; isByClock?: boolean } = {},
) {
  const about: Partial<Task> = {
    fittedAt: fitted === undefined ? null : at(fitted),
    usedAtStart: used === undefined ? null : { low: used, best: used, high: used },
  };
  const siblings = [task("replace", about), task("sharpen", about), task("inspect", about)];
  const one = siblings.find((sibling) => sibling.task === of)!;
  const spans = lifespansOf(one, siblings, records, known);
  return agedLives(spans, since, { known, isByClock, usedAtStart: one.renews ? (used ?? null) : null });
}
const shown = (lives: ReturnType<typeof livesOf>["lives"]) =>
  lives.map(({ age, end, lastGood, entry }) => [Math.round(age), end, lastGood ?? null, entry ?? null]);

describe("lives of a part", () => {
  it("end failed or worn, are cut short good, damaged, unknown and in use, and begin with the fitting", () => {
    const { lives, leftOut } = livesOf(
      "replace",
      [
        record(100, "replace", "failed"),
        record(250, "replace", "worn"),
        record(300, "replace", "good"),
        record(320, "replace", "damaged"),
        record(400, "replace", "unknown"),
      ],
      { fitted: 10 },
    );
    expect(leftOut).toBe(0);
    expect(shown(lives)).toEqual([
      [90, "failed", null, null],
      [150, "worn", null, null],
      [50, "good", null, null],
      [20, "damaged", null, null],
      [80, "unknown", null, null],
      [8360, "in-use", null, null],
    ]);
  });

  it("end between two instants when found worn after an inspection that found them good; a failure has its own instant", () => {
    const records = [
      record(100, "replace", "good"),
      record(150, "inspect", "good"),
      record(180, "inspect", "good"),
      record(220, "replace", "worn"),
      record(260, "inspect", "good"),
      record(300, "replace", "failed"),
    ];
    expect(shown(livesOf("replace", records).lives)).toEqual([
      [120, "worn", 80, null],
      [80, "failed", null, null],
      [8460, "in-use", null, null],
    ]);
  });

  it("end when an inspection finds them worn, however long they stay in", () => {
    const records = [
      record(100, "replace", "good"),
      record(150, "inspect", "good"),
      record(180, "inspect", "worn"),
      record(400, "replace", "unknown"),
    ];
    expect(shown(livesOf("replace", records).lives)[0]).toEqual([80, "worn", 50, null]);
  });

  it("end between two instants when nobody knows just when it was done", () => {
    const records = [record(100, "replace", "good"), record(200, "replace", "failed", { doneUntil: at(240) })];
    expect(shown(livesOf("replace", records).lives)).toEqual([
      [140, "failed", 100, null],
      [8540, "in-use", null, null],
    ]);
  });

  it("in the machine when the log began are watched from their age then, else left out and counted", () => {
    const records = [record(100, "replace", "worn"), record(150, "replace", "worn")];
    const knownAge = livesOf("replace", records, { used: 30 });
    expect(shown(knownAge.lives)).toEqual([
      [130, "worn", null, 30],
      [50, "worn", null, null],
      [8610, "in-use", null, null],
    ]);
    expect(knownAge.leftOut).toBe(0);
    const unknownAge = livesOf("replace", records);
    expect(shown(unknownAge.lives)).toEqual([
      [50, "worn", null, null],
      [8610, "in-use", null, null],
    ]);
    expect(unknownAge.leftOut).toBe(1);
    expect(livesOf("replace", [])).toEqual({ lives: [], leftOut: 1 });
  });

  it("fitted before the log began are watched from then on; those that were over by then are left out", () => {
    expect(shown(livesOf("replace", [record(50, "replace", "failed")], { fitted: -40 }).lives)[0]).toEqual([
      90,
      "failed",
      null,
      40,
    ]);
    const early = [record(-300, "replace", "failed"), record(-200, "replace", "failed"), record(50, "replace", "failed")];
    const byBadge = livesOf("replace", early);
    expect(byBadge.leftOut).toBe(2);
    expect(shown(byBadge.lives)[0]).toEqual([250, "failed", null, 200]);
    // Days and machines that are always on: a record begins what the clock counts, whenever the log begins.
    const byClock = livesOf("replace", early, { isByClock: true });
    expect(byClock.leftOut).toBe(1);
    expect(shown(byClock.lives).slice(0, 2)).toEqual([
      [100, "failed", null, null],
      [250, "failed", null, null],
    ]);
  });

  it("go on with a piece that comes back by its serial, unless it was at its end", () => {
    const records = [
      record(0, "replace", "unknown", { serial: "A" }),
      record(100, "replace", "good", { serial: "B" }),
      record(150, "replace", "good", { serial: "A" }),
      record(220, "replace", "worn", { serial: "B" }),
      record(250, "replace", "worn", { serial: "A" }),
    ];
    const { lives } = livesOf("replace", records);
    // A 100 h and 70 h, worn; B 50 h and 30 h, worn; A again from new.
    expect(shown(lives)).toEqual([
      [170, "worn", null, null],
      [80, "worn", null, null],
      [8510, "in-use", null, null],
    ]);
  });
});

describe("lives of an edge", () => {
  it("stand apart from the part's, numbered since the part was new; a new part ends one untold", () => {
    const records = [
      record(20, "sharpen", "worn"),
      record(35, "sharpen", "good"),
      record(60, "replace", "worn"),
      record(90, "sharpen", "worn"),
    ];
    const { lives } = livesOf("sharpen", records, { fitted: 0 });
    expect(shown(lives)).toEqual([
      [20, "worn", null, null],
      [15, "good", null, null],
      [25, "unknown", null, null],
      [30, "worn", null, null],
      [8670, "in-use", null, null],
    ]);
    expect(lives.map(({ edge }) => edge)).toEqual([0, 1, 2, 0, 1]);
    expect(shown(livesOf("replace", records, { fitted: 0 }).lives)).toEqual([
      [60, "worn", null, null],
      [8700, "in-use", null, null],
    ]);
  });
});

describe("laws", () => {
  const founds = ["good", "worn", "failed", "damaged", "unknown"] as const;
  const someRecords = fc.array(
    fc.record({ hours: fc.integer({ min: 1, max: 8000 }), found: fc.constantFrom(...founds), isLook: fc.boolean() }),
    {
      maxLength: 12,
    },
  );

  it("lives share out the time of the machine, in whatever order records were entered", () => {
    fc.assert(
      fc.property(someRecords, (drawn) => {
        const records = drawn.map(({ hours, found, isLook }) => record(hours, isLook ? "inspect" : "replace", found));
        const { lives, leftOut } = livesOf("replace", records, { fitted: 0 });
        const changes = records.filter(({ task: id }) => id === "replace");
        // Two at one instant leave a life of no length between them: that one is left out if it ended by wear.
        expect(lives.length + leftOut).toBe(changes.length + 1);
        expect(lives.reduce((sum, { age }) => sum + age, 0)).toBeLessThanOrEqual(8760 + 1e-6);
        if (!records.some(({ task: id }) => id === "inspect"))
          expect(lives.reduce((sum, { age }) => sum + age, 0)).toBeCloseTo(8760, 6);
        for (const { age, lastGood, entry } of lives) {
          expect(age).toBeGreaterThanOrEqual(0);
          if (lastGood !== undefined) expect(lastGood).toBeLessThan(age);
          expect(entry).toBeUndefined();
        }
        const turned = livesOf("replace", [...records].reverse(), { fitted: 0 });
        expect(shown(turned.lives).map(([age]) => age)).toEqual(shown(lives).map(([age]) => age));
      }),
      { seed: 11, numRuns: 300 },
    );
  });
});
