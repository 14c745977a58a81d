import { createHash } from "node:crypto";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, test } from "vitest";
import { loadTruth, rowsOf, type SampleWorkshop, writeSampleWorkshop } from "../../sample-logs/index.ts";
import { FINDING_RULES, loadWorkshop } from "../../shared/index.ts";

const folder = mkdtempSync(join(tmpdir(), "sample-mess-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const made = writeSampleWorkshop({ dir: join(folder, "full"), seed: 4 });
const truth = loadTruth(made.truth);
const textOf = ({ logs }: SampleWorkshop) => logs.map((log) => readFileSync(log, "latin1")).join("");

interface SessionRow {
  machine: number;
  station: number;
  start: number;
  end: number;
  ended: string;
  starts: number;
  enableSeen: number;
  releaseSeen: number;
}

describe("every kind of mess is there, and its truth with it", () => {
  const sessions = rowsOf<SessionRow>(truth, "sessions");
  const cuts = rowsOf<{ kind: string; machines: string; clock: string | null; from: number; until: number }>(truth, "cuts");

  test("power cuts that take many stations end what runs there", () => {
    const power = cuts.filter(({ kind, machines }) => kind === "power" && machines.split(" ").length > 1);
    expect(power.length).toBeGreaterThan(3);
    const cut = sessions.filter(({ ended }) => ended === "power");
    expect(cut.length).toBeGreaterThan(3);
    expect(
      cut.filter(
        ({ end, machine }) =>
          !power.some(({ from, machines }) => Math.abs(end - from) <= 1 && machines.split(" ").includes(String(machine))),
      ),
    ).toEqual([]);
    // Nobody uses a machine without power.
    expect(
      sessions.filter(({ machine, start }) =>
        power.some(
          ({ from, until, machines }) => start >= from && start < until && machines.split(" ").includes(String(machine)),
        ),
      ),
    ).toEqual([]);
  });

  test("single stations boot, some in the middle of a session", () => {
    expect(cuts.filter(({ kind }) => kind === "boot").length).toBeGreaterThan(20);
    expect(sessions.some(({ ended }) => ended === "boot")).toBe(true);
  });

  test("clocks come back in 1970, at the time saved last, or right", () => {
    expect(new Set(cuts.map(({ clock }) => clock))).toEqual(new Set(["unset", "saved", "right", null]));
    expect(textOf(made)).toMatch(/\r\n31\/12\/1969 20:3/);
  });

  test("radio losses take sessions' ends; some lines come late instead", () => {
    const losses = rowsOf<{ kept: number }>(truth, "losses");
    expect(new Set(losses.map(({ kept }) => kept))).toEqual(new Set([0, 1]));
    expect(
      sessions.some(({ enableSeen, releaseSeen, ended }) => enableSeen === 1 && releaseSeen === 0 && ended === "released"),
    ).toBe(true);
    expect(rowsOf<{ late: number }>(truth, "files").reduce((sum, { late }) => sum + late, 0)).toBeGreaterThan(100);
  });

  test("duplicates, blanks, junk, unknown and ignored words are counted", () => {
    const sum = (key: "duplicates" | "blank" | "rejected" | "ignored" | "unset") =>
      made.files.reduce((total, file) => total + file[key], 0);
    for (const key of ["duplicates", "blank", "rejected", "ignored", "unset"] as const) expect(sum(key)).toBeGreaterThan(20);
    const text = textOf(made);
    expect(text).toMatch(/;FAN;/);
    expect(text).toMatch(/;TEMP;/);
    expect(text).toMatch(/\n31\/02\//);
    expect(text).toMatch(/\u00ff/);
  });

  test("contacts bounce: one true session, several closings", () => {
    expect(sessions.filter(({ starts }) => starts > 1).length).toBeGreaterThan(50);
  });

  test("a station moves to a new address, and the workshop file says when", () => {
    const moved = loadWorkshop(made.workshop).workshop.machines.find(({ stations }) => (stations?.length ?? 0) > 1)!;
    const index = truth.machines.indexOf(moved.id);
    const addresses = sessions.filter(({ machine }) => machine === index).map(({ station }) => String(station).padStart(3, "0"));
    expect(new Set(addresses)).toEqual(new Set(moved.stations!.map(({ station }) => station)));
  });

  test("jumpers fall off for two weeks, onto an unused and onto a used address one jumper away", () => {
    const slips = rowsOf<{ machine: number; from: number; until: number; address: number }>(truth, "slips");
    const stations = new Set(
      loadWorkshop(made.workshop).workshop.machines.flatMap(({ stations: spans }) =>
        (spans ?? []).map(({ station }) => Number(station)),
      ),
    );
    expect(slips.map(({ address }) => stations.has(address)).sort()).toEqual([false, false, true, true]);
    for (const { machine, from, until, address } of slips) {
      expect(until - from).toBe(14 * 86_400);
      const own = sessions.find((session) => session.machine === machine && session.start >= from)!.station;
      expect([1, 2, 4, 8, 16, 32]).toContain(own ^ address);
      expect(own & address).toBe(address);
    }
  });
});

describe("planted findings", () => {
  const planted = rowsOf<{ rule: string; size: number | null; from: number; until: number }>(truth, "planted");

  test("every rule has some, with place and span", () => {
    expect(new Set(planted.map(({ rule }) => rule))).toEqual(new Set(FINDING_RULES));
    expect(planted.filter(({ from, until }) => !(until > from))).toEqual([]);
  });

  test("twenty where that makes sense, long sessions at 3, 5 and 10 times the norm", () => {
    const count = (rule: string) => planted.filter((item) => item.rule === rule).length;
    for (const rule of [
      "alone-closed",
      "closed-use",
      "alone-hazard",
      "long-session",
      "left-in",
      "not-authorised",
      "badge-twice",
    ]) {
      expect(count(rule)).toBeGreaterThanOrEqual(15);
    }
    const sizes = planted.filter(({ rule }) => rule === "long-session").map(({ size }) => size);
    expect(new Set(sizes)).toEqual(new Set([3, 5, 10]));
  });
});

describe("a null world", () => {
  const nothing = writeSampleWorkshop({ dir: join(folder, "null"), seed: 4, years: 0.5, mess: false, findings: false });
  const told = loadTruth(nothing.truth);

  test("has nothing planted, no fault, no junk", () => {
    for (const name of ["planted", "cuts", "losses", "slips", "motorOutside"] as const)
      expect(told.tables[name].rows).toEqual([]);
    for (const file of nothing.files) {
      expect([file.duplicates, file.blank, file.rejected, file.unset, file.late]).toEqual([0, 0, 0, 0, 0]);
    }
  });

  test("everybody is seen coming and going, while the doors are open", () => {
    const opening = rowsOf<{ from: number; until: number }>(told, "opening");
    const sessions = rowsOf<SessionRow>(told, "sessions");
    expect(sessions.length).toBeGreaterThan(1000);
    expect(sessions.filter(({ enableSeen, releaseSeen }) => enableSeen + releaseSeen < 2)).toEqual([]);
    const closed = sessions.filter(
      ({ start, end }) =>
        !opening.some(({ from, until }) => start >= from && start < until) ||
        !opening.some(({ from, until }) => end > from && end <= until),
    );
    expect(closed).toEqual([]);
  });
});

test("a small world has the bytes it always had", () => {
  // Golden: made by this generator itself, seed 5, a quarter of a year; it changes only when the generator is meant to.
  const {
    logs,
    workshop,
    roster,
    service,
    truth: told,
  } = writeSampleWorkshop({ dir: join(folder, "small"), seed: 5, years: 0.25 });
  const sum = createHash("sha256");
  for (const file of [...logs, workshop, roster, service, told]) sum.update(readFileSync(file));
  expect(sum.digest("hex")).toBe("386796a11c41560a7a4ee7d64f2febaca69f37498fb12560b43b9437b6124570");
});
