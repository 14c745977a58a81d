import { createHash } from "node:crypto";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { loadTruth, rowsOf, type SampleWorkshop, type Truth, writeSampleWorkshop } from "../../sample-logs/index.ts";

interface SessionRow {
  machine: number;
  station: number;
  start: number;
  end: number;
  usualEnd: number;
  motorSeconds: number;
  turn: number;
  rule: string | null;
}

const folder = mkdtempSync(join(tmpdir(), "sample-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let made: SampleWorkshop;
let truth: Truth;
let sessions: SessionRow[];
beforeAll(() => {
  made = writeSampleWorkshop({ dir: join(folder, "one"), seed: 1 });
  truth = loadTruth(made.truth);
  sessions = rowsOf<SessionRow>(truth, "sessions");
});

const hash = (file: string) => createHash("sha256").update(readFileSync(file)).digest("hex");
const everyFile = ({ workshop, roster, profile, service, truth: told, logs }: SampleWorkshop) => [
  workshop,
  roster,
  profile,
  service,
  told,
  ...logs,
];

describe("the true workshop", () => {
  test("no two true sessions overlap on a station or on a machine", () => {
    for (const key of ["station", "machine"] as const) {
      const lastEnd = new Map<number, number>();
      const overlaps = sessions.filter((session) => {
        const isOver = session.start < (lastEnd.get(session[key]) ?? 0);
        lastEnd.set(session[key], Math.max(lastEnd.get(session[key]) ?? 0, session.end));
        return isOver;
      });
      expect(overlaps).toEqual([]);
    }
  });

  test("a badge takes some seconds from one hand to the next", () => {
    const lastEnd = new Map<number, number>();
    const hasty = sessions.filter(({ machine, start, end }) => {
      const gap = start - (lastEnd.get(machine) ?? 0);
      lastEnd.set(machine, end);
      return gap < 15;
    });
    expect(hasty).toEqual([]);
  });

  test("every session lasts, and its motor turns no longer than it", () => {
    expect(
      sessions.filter(({ start, end, motorSeconds }) => end <= start || motorSeconds < 0 || motorSeconds > end - start),
    ).toEqual([]);
  });

  test("run-hours by machine add up to the motor time", () => {
    const byMonth = rowsOf<{ machine: string; runHours: number }>(truth, "runHours");
    const outside = rowsOf<{ machine: number; start: number; end: number }>(truth, "motorOutside");
    truth.machines.forEach((id, index) => {
      const told = byMonth.filter(({ machine }) => machine === id).reduce((sum, { runHours }) => sum + runHours, 0);
      const turned = sessions.filter(({ machine }) => machine === index).reduce((sum, { motorSeconds }) => sum + motorSeconds, 0);
      const extra = outside.filter(({ machine }) => machine === index).reduce((sum, { start, end }) => sum + end - start, 0);
      // Each of the 24 months is rounded to 1e-6 h.
      expect(Math.abs(told - (turned + extra) / 3600)).toBeLessThan(24 * 0.5e-6);
      expect(told).toBeGreaterThan(0);
    });
  });

  test("a turn is one person's on one machine, its gaps under 15 minutes", () => {
    const turns = new Map<number, SessionRow[]>();
    for (const session of sessions) if (session.turn >= 0) turns.set(session.turn, [...(turns.get(session.turn) ?? []), session]);
    const gaps = [...turns.values()].flatMap((list) =>
      list
        .slice(1)
        .map(({ start, machine }, index) => ({ gap: start - list[index]!.end, isSame: machine === list[index]!.machine })),
    );
    expect(gaps.length).toBeGreaterThan(1000);
    expect(gaps.filter(({ gap, isSame }) => gap < 0 || gap >= 900 || !isSame)).toEqual([]);
  });

  test("both clock changes of each year lie inside, with use around them", () => {
    // America/St_Johns: summer time ends at 02:00 on the first Sunday of November and begins on the second Sunday of March.
    // Instants as printed by `zdump -v America/St_Johns` (IANA time zone database).
    const changes = ["2024-11-03T04:30:00Z", "2025-03-09T05:30:00Z", "2025-11-02T04:30:00Z", "2026-03-08T05:30:00Z"].map(
      (time) => Date.parse(time) / 1000,
    );
    for (const change of changes) {
      expect(sessions.some(({ start, end }) => start < change && end > change)).toBe(true);
    }
  });
});

describe("the lines", () => {
  test("the five counts add up in every file", () => {
    for (const file of made.files)
      expect(file.stored + file.duplicates + file.ignored + file.blank + file.rejected).toBe(file.lines);
    expect(made.files).toHaveLength(24);
  });

  test("each file has as many lines as are counted, besides its comment and header", () => {
    made.logs.forEach((path, index) => {
      const lines = readFileSync(path, "latin1").split("\r\n");
      expect(lines.pop()).toBe("");
      expect(lines.length - 2).toBe(made.files[index]!.lines);
    });
  });
});

test("a line that was there before, word for word, is a duplicate, unless its clock was not set", () => {
  const known = new Set<string>();
  made.logs.forEach((path, index) => {
    const lines = readFileSync(path, "latin1").split("\r\n").slice(2, -1);
    const good = lines.filter(
      (line) => /^\d\d\/\d\d\/20\d\d .*;(IN|OUT|NO|START|HERE|MOT[+-]|SET);/.test(line) && !line.includes(";;IN;"),
    );
    let duplicates = 0;
    for (const line of good) {
      if (known.has(line)) duplicates += 1;
      known.add(line);
    }
    expect(duplicates).toBe(made.files[index]!.duplicates);
  });
});

describe("the same seed", () => {
  test("gives the same bytes", () => {
    const [one, two] = ["small-one", "small-two"].map((name) =>
      writeSampleWorkshop({ dir: join(folder, name), seed: 1, years: 0.4 }),
    );
    expect(everyFile(two!).map(hash)).toEqual(everyFile(one!).map(hash));
  });

  test("and another seed others", () => {
    const other = writeSampleWorkshop({ dir: join(folder, "three"), seed: 2, years: 0.25 });
    expect(hash(other.logs[0]!)).not.toBe(hash(made.logs[0]!));
  });
});
