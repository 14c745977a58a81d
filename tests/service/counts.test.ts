// Where counts begin: laws of resets.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { begunAnewBy, countOf, foundAtInspection, limitsNow, ownUnit } from "../../analytics/service/counts.ts";
import type { ServiceRecord, Task } from "../../analytics/service/tasks.ts";

const base: Omit<Task, "task" | "taskName" | "renews" | "inspects" | "resets" | "limits"> = {
  machine: "planer",
  machineName: "Planer",
  hazard: "high",
  kind: "stations",
  part: "knives",
  partName: "knives",
  class: "planer-knives",
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
};
const task = (id: string, more: Partial<Task> = {}): Task => ({
  ...base,
  task: id,
  taskName: id,
  renews: id === "replace",
  inspects: id === "inspect",
  resets: [],
  limits: [{ basis: "hours", every: 10, firstAfter: null }],
  ...more,
});
const replace = task("replace", { resets: ["sharpen"] });
const sharpen = task("sharpen", { atMost: 2 });
const inspect = task("inspect");
const part = [replace, sharpen, inspect];

let nextId = 1;
const record = (id: string, day: number, more: Partial<ServiceRecord> = {}): ServiceRecord => ({
  id: nextId++,
  machine: "planer",
  part: "knives",
  task: id,
  doneAt: new Date(Date.UTC(2025, 0, 1 + day)),
  doneUntil: null,
  found: "unknown",
  why: null,
  readings: {},
  serial: null,
  ...more,
});

describe("what begins anew", () => {
  test("new knives reset sharpening and looking, sharpening does not make them new", () => {
    expect(begunAnewBy(replace, part)).toEqual(new Set(["replace", "sharpen", "inspect"]));
    expect(begunAnewBy(sharpen, part)).toEqual(new Set(["sharpen"]));
    const records = [record("replace", 1), record("sharpen", 5)];
    expect(countOf(replace, part, records).from).toEqual(records[0]!.doneAt);
    expect(countOf(sharpen, part, records).from).toEqual(records[1]!.doneAt);
  });

  const words = fc.constantFrom("replace", "sharpen", "inspect");
  const history = fc.array(
    fc.record({ task: words, day: fc.integer({ min: 0, max: 60 }), span: fc.integer({ min: 0, max: 5 }) }),
    { maxLength: 12 },
  );
  const made = (entries: readonly { task: string; day: number; span: number }[]) =>
    entries.map(({ task: id, day, span }) =>
      record(id, day, { doneUntil: span === 0 ? null : new Date(Date.UTC(2025, 0, 1 + day + span)) }),
    );

  test("the order of entry doesn't matter", () => {
    fc.assert(
      fc.property(history, fc.integer(), (entries, turn) => {
        const records = made(entries);
        const at = records.length === 0 ? 0 : Math.abs(turn) % records.length;
        const others = [...records.slice(at), ...records.slice(0, at)].reverse();
        for (const one of part) {
          const { from, until, begins, timesDone, isFirst } = countOf(one, part, records);
          expect(countOf(one, part, others)).toMatchObject({ from, until, begins, timesDone, isFirst });
        }
      }),
      { seed: 9, numRuns: 300 },
    );
  });

  test("replacing resets whatever sharpening does, and more", () => {
    fc.assert(
      fc.property(history, fc.integer({ min: 66, max: 90 }), (entries, day) => {
        const records = made(entries);
        const countsAfter = (id: string) => part.map((one) => countOf(one, part, [...records, record(id, day)]));
        const now = Date.UTC(2025, 0, 1 + day);
        const begun = (counts: ReturnType<typeof countsAfter>) => counts.filter(({ from }) => from?.getTime() === now).length;
        expect(begun(countsAfter("replace"))).toBe(3);
        expect(begun(countsAfter("sharpen"))).toBe(1);
      }),
      { seed: 10, numRuns: 200 },
    );
  });

  test("a later record never moves a count's begin back", () => {
    fc.assert(
      fc.property(history, words, fc.integer({ min: 66, max: 90 }), (entries, id, day) => {
        const records = made(entries);
        for (const one of part) {
          const before = countOf(one, part, records).from?.getTime() ?? Number.NEGATIVE_INFINITY;
          const after = countOf(one, part, [...records, record(id, day)]).from?.getTime() ?? Number.NEGATIVE_INFINITY;
          expect(after).toBeGreaterThanOrEqual(before);
        }
      }),
      { seed: 11, numRuns: 200 },
    );
  });

  test("an old record entered late changes nothing that is newer", () => {
    const records = [record("sharpen", 20)];
    expect(countOf(sharpen, part, [...records, record("sharpen", 3)]).from).toEqual(records[0]!.doneAt);
  });
});

describe("ages", () => {
  test("without record, fitting or age nothing is known", () => {
    expect(countOf(sharpen, part, [])).toMatchObject({ begins: "unknown", from: null, isFirst: false });
  });

  test("an age at the start is the part's own, not that of its edge", () => {
    const aged = part.map((one) => ({ ...one, usedAtStart: { low: 5, best: 8, high: 12 } }));
    expect(ownUnit(aged)).toBe("hours");
    expect(countOf(aged[0]!, aged, [])).toMatchObject({ begins: "start", before: { basis: "hours", used: { best: 8 } } });
    expect(countOf(aged[1]!, aged, []).begins).toBe("unknown");
  });

  test("a new belt is tensioned once early, then as usual", () => {
    const tension = task("tension", { limits: [{ basis: "hours", every: 150, firstAfter: 4 }], fittedAt: new Date(0) });
    const belt = [tension, task("replace", { resets: ["tension"], fittedAt: new Date(0) })];
    const at = (records: ServiceRecord[]) => limitsNow(tension, countOf(tension, belt, records));
    expect(at([])).toEqual([{ basis: "hours", interval: 4, isFirst: true }]);
    expect(at([record("tension", 1)])).toEqual([{ basis: "hours", interval: 150, isFirst: false }]);
    expect(at([record("tension", 1), record("replace", 2)])).toEqual([{ basis: "hours", interval: 4, isFirst: true }]);
  });

  test("only so many sharpenings since the knives were new", () => {
    const records = [record("sharpen", 1), record("replace", 2), record("sharpen", 3), record("sharpen", 4)];
    expect(countOf(sharpen, part, records).timesDone).toBe(2);
  });

  test("a blade that comes back brings the use it had", () => {
    const records = [
      record("replace", 1, { serial: "A" }),
      record("replace", 11, { serial: "B" }),
      record("replace", 31, { serial: "A" }),
    ];
    expect(countOf(replace, part, records).earlier).toEqual([{ from: records[0]!.doneAt, until: records[1]!.doneAt }]);
    expect(countOf(replace, part, [...records, record("replace", 41, { serial: "C" })]).earlier).toEqual([]);
    expect(countOf(sharpen, part, records).earlier).toEqual([]);
  });
});

describe("found at an inspection", () => {
  test("dull: the mildest task that may still be done, now", () => {
    const looked = record("inspect", 10, { found: "worn" });
    expect(foundAtInspection(part, [looked])?.remedy).toBe("sharpen");
    const twice = [record("replace", 1), record("sharpen", 2), record("sharpen", 3), looked];
    expect(foundAtInspection(part, twice)?.remedy).toBe("replace");
    expect(foundAtInspection(part, [{ ...looked, found: "damaged" }])?.remedy).toBe("replace");
  });

  test("until somebody mends it, or looks again and finds it good", () => {
    const looked = record("inspect", 10, { found: "worn" });
    expect(foundAtInspection(part, [looked, record("sharpen", 11)])).toBeNull();
    expect(foundAtInspection(part, [looked, record("inspect", 12, { found: "good" })])).toBeNull();
    expect(foundAtInspection(part, [looked, record("sharpen", 9)])).not.toBeNull();
    expect(foundAtInspection(part, [record("sharpen", 10, { found: "worn" })])).toBeNull();
  });
});
