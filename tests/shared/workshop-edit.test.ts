// Edits of a workshop file by place: what is not meant stays to the letter, comments among it.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { editedWorkshop, rawWorkshop, starterFiles } from "../../shared/index.ts";
import { commentsIn } from "../../shared/workshop-edit.ts";

const starter = starterFiles()[0]!.text;
const raw = (text: string) => rawWorkshop("workshop.yaml", text) as { machines: unknown[]; hours: unknown };

/** The lines that differ, as a reader sees them. */
function difference(before: string, after: string): string[] {
  const [old, fresh] = [before.split("\n"), after.split("\n")];
  return [
    ...old.filter((line) => !fresh.includes(line)).map((line) => `-${line}`),
    ...fresh.filter((line) => !old.includes(line)).map((line) => `+${line}`),
  ];
}

describe("one edit", () => {
  test("of a name changes that line alone", () => {
    const after = editedWorkshop(starter, [{ path: ["machines", 0, "name"], value: "Band saw, left" }]);
    expect(difference(starter, after)).toEqual(["-    name: Band saw by the window", "+    name: Band saw, left"]);
  });

  test("within a flow map keeps the comment behind it", () => {
    const after = editedWorkshop(starter, [{ path: ["machines", 0, "stations", 0, "until"], value: "2025-10-01" }]);
    expect(difference(starter, after)).toEqual([
      "-      - { station: 11, from: 2024-01-08, until: 2025-09-01 } # until is excluded here, so that spans can meet",
      "+      - { station: 11, from: 2024-01-08, until: 2025-10-01 } # until is excluded here, so that spans can meet",
    ]);
  });

  test("adds a machine behind the last, a station as the log writes it", () => {
    const value = { id: "drill", name: "Drill press", stations: [{ station: "0031" }] };
    const after = editedWorkshop(starter, [{ path: ["machines", raw(starter).machines.length], value }]);
    expect(difference(starter, after)).toEqual([
      "+  - id: drill",
      "+    name: Drill press",
      "+    stations: [{ station: 0031 }]",
    ]);
    expect(raw(after).machines.at(-1)).toEqual(value);
  });

  test("begins a file that has no machines and no hours yet", () => {
    const small = "# mine\nworkshop: {name: X, zone: Europe/Lisbon}\n";
    const after = editedWorkshop(small, [
      { path: ["machines", 0], value: { id: "saw", stations: [{ station: "7" }] } },
      { path: ["hours", "staffed", "tue"], value: ["18:00-22:00"] },
    ]);
    expect(after).toBe(
      '# mine\nworkshop: {name: X, zone: Europe/Lisbon}\nmachines:\n  - id: saw\n    stations: [{station: 7}]\nhours:\n  staffed:\n    tue: ["18:00-22:00"]\n',
    );
  });

  test("takes a place away, and the map that is empty then", () => {
    const after = editedWorkshop(starter, [{ path: ["hours", "staffed", "tue"] }, { path: ["hours", "staffed", "sat"] }]);
    expect(raw(after).hours).not.toHaveProperty("staffed");
    expect(raw(after).hours).toHaveProperty("member");
  });

  test("of a text that looks like a number stays a text where the file asks for one", () => {
    const after = editedWorkshop(starter, [
      { path: ["machines", 0, "parts", 0, "tasks", 0, "reading"], value: { name: "no", limit: 3, unit: "mm" } },
    ]);
    expect(after).toContain("reading: { name: no, limit: 3, unit: mm }");
  });
});

test("what can't be edited is told", () => {
  expect(() => editedWorkshop("a: [1", [{ path: ["a"], value: 1 }])).toThrow(/YAML that can be read/);
  expect(() => editedWorkshop(starter, [{ path: ["workshop", "name", "first"], value: "x" }])).toThrow(
    /a map or list at workshop.name/,
  );
  expect(() => editedWorkshop(starter, [{ path: [], value: "x" }])).toThrow(/a place within the file/);
});

test("no edit at all gives the file to the letter, whatever its layout", () => {
  for (const text of [
    starter,
    "a:   1   # x\nb: [ 1,2 ]\n\n\n# end\n",
    "machines:\n- {id: a,  stations: [{station: 007}]}   # seven\n",
  ])
    expect(editedWorkshop(text, [])).toBe(text);
});

test("whatever is set can be read back, and every other value and every comment stays", () => {
  const places = [
    ["workshop", "name"],
    ["machines", 1, "note"],
    ["machines", 2, "parts", 0, "tasks", 1, "note"],
    ["rooms", 0, "name"],
    ["machines", 4, "needs", "circuit"],
  ];
  const words = fc
    .string({ minLength: 1, maxLength: 20, unit: "grapheme" })
    .filter((text) => text.trim() === text && !/[\p{C}\p{Zl}\p{Zp}]/u.test(text));
  fc.assert(
    fc.property(fc.constantFrom(...places), words, (path, value) => {
      const after = editedWorkshop(starter, [{ path, value }]);
      expect(valueIn(raw(after), path)).toBe(value);
      expect(commentsIn(after)).toBeGreaterThanOrEqual(commentsIn(starter));
      const back = editedWorkshop(after, [
        valueIn(raw(starter), path) === undefined ? { path } : { path, value: valueIn(raw(starter), path) },
      ]);
      expect(raw(back)).toEqual(raw(starter));
    }),
    { seed: 20_260_301, numRuns: 40 },
  );
});

const valueIn = (words: unknown, path: readonly (string | number)[]): unknown =>
  path.reduce<unknown>((at, step) => (at as Record<string | number, unknown> | undefined)?.[step], words);
