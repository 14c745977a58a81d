// The sections of the score against answers made from the truth itself: a tool that knows all scores full marks, a wrong one doesn't.
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, test } from "vitest";
import { loadTruth, rowsOf, writeSampleWorkshop } from "../../sample-logs/index.ts";
import { parts } from "../../sample-logs/parts.ts";
import { makeWorld } from "../../sample-logs/world.ts";
import { FINDING_RULES, loadWorkshop } from "../../shared/index.ts";
import { type DemandAnswer, demandCells, hoursGained, monthsOf, purchaseScore } from "./demand.ts";
import { courseOf, crossingDay, type DueAnswer, dueWindows } from "./due.ts";
import { type Flag, findingScores } from "./findings.ts";
import { type PlantedRow, trueFindings } from "./true-findings.ts";

const folder = mkdtempSync(join(tmpdir(), "score-sections-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const options = { seed: 7, years: 1, until: "2026-10-01", mess: true, findings: true };
const made = writeSampleWorkshop({ dir: folder, ...options });
const truth = loadTruth(made.truth);
const world = makeWorld(options);
const exact = (value: number) => ({ low: value, best: value, high: value });

test("the world in memory is the world that was written", () => {
  expect(world.use.sessions.length).toBe(truth.tables.sessions.rows.length);
});

describe("due", () => {
  const course = courseOf(world, truth);
  const now = 130;
  const asOf = course.dates[now]!;

  test("daily run-hours add up to the sessions' motor time", () => {
    const daily = [...course.run.values()].flatMap((list) => [...list]).reduce((sum, hours) => sum + hours, 0);
    const motor = rowsOf<{ motorSeconds: number }>(truth, "sessions").reduce((sum, { motorSeconds }) => sum + motorSeconds, 0);
    expect(Math.abs(daily - motor / 3600)).toBeLessThan(1e-6);
  });

  // Belts that nobody has touched since the log began: their use so far is known from the truth alone.
  const untouched = parts.filter(({ machine, part, unit }) => {
    const isServed = world.worn.services.some(
      (row) => row.machine === machine && row.part === part && world.calendar.date(row.time) < asOf,
    );
    return unit === "hours" && !isServed;
  });

  test("a tool that knows the future hits every window without a miss", () => {
    const tasks: DueAnswer["tasks"] = untouched.flatMap(({ machine, part, usedAtStart }) => {
      const run = course.run.get(machine)!;
      const used = usedAtStart + run.slice(0, now).reduce((sum, hours) => sum + hours, 0);
      const interval = used + 8;
      const crossing = crossingDay(run, now, interval - used);
      const date = crossing === null ? null : course.dates[crossing]!;
      return [
        {
          machine,
          part,
          task: "replace",
          byHours: { used: exact(used), interval, due: { early: date, median: date, late: date } },
        },
      ];
    });
    const told = new Map(
      [...course.run].map(([machine, run]) => [machine, new Map(course.dates.map((date, index) => [date, run[index]!]))]),
    );
    const windows = dueWindows(7, world, truth, course, asOf, { tasks }, told);
    expect(windows.length).toBeGreaterThan(1);
    expect(windows.filter(({ isHit, missDays }) => !isHit || missDays !== 0)).toEqual([]);
    for (const { missLast28, missOracle } of windows) {
      expect(missLast28).not.toBeNull();
      expect(missOracle).not.toBeNull();
    }
  });

  test("a window that ends the day before is a miss", () => {
    const { machine, part, usedAtStart } = untouched[0]!;
    const run = course.run.get(machine)!;
    const used = usedAtStart + run.slice(0, now).reduce((sum, hours) => sum + hours, 0);
    const crossing = crossingDay(run, now, 8)!;
    const dayBefore = course.dates[crossing - 1]!;
    const due = { early: asOf, median: dayBefore, late: dayBefore };
    const tasks = [{ machine, part, task: "replace", byHours: { used: exact(used), interval: used + 8, due } }];
    const [window] = dueWindows(7, world, truth, course, asOf, { tasks }, new Map());
    expect(window).toMatchObject({ isHit: false, missDays: 1 });
  });
});

describe("demand", () => {
  const gained = hoursGained(options, monthsOf(truth));
  const groupAnswer = (group: string, scale: number) => {
    const index = truth.groups.indexOf(group);
    const wishes = rowsOf<{ group: number; outcome: string }>(truth, "wishes").filter((wish) => wish.group === index);
    const openHours = rowsOf<{ from: number; until: number }>(truth, "opening").reduce(
      (sum, { from, until }) => sum + (until - from) / 3600,
      0,
    );
    const away = wishes.filter(({ outcome }) => outcome === "left-at-once" || outcome === "left-after-wait").length;
    return {
      group,
      arrivalsPerOpenHour: exact((scale * wishes.length) / openHours),
      turnedAwayPerMonth: exact((scale * away) / monthsOf(truth)),
      hoursGainedPerMonth: exact(scale * gained.get(group)!),
      costPerHourGained: null,
    };
  };

  test("one more laser gains most hours, and no unit takes any away worth telling", () => {
    const [most] = [...gained].sort(([, a], [, b]) => b - a);
    expect(most![0]).toBe("laser");
    expect(Math.min(...gained.values())).toBeGreaterThan(-1);
  });

  test("the truth told back has no error, twice the truth one of its own size", () => {
    const answer = (scale: number): DemandAnswer => ({
      groups: truth.groups.map((group) => groupAnswer(group, scale)),
      ranking: [],
      ties: [],
    });
    for (const { truth: real, best } of demandCells(truth, answer(1), gained)) expect(best).toBeCloseTo(real, 9);
    for (const { truth: real, best } of demandCells(truth, answer(2), gained)) expect(best).toBeCloseTo(2 * real, 9);
  });

  test("the purchase is judged by cost per hour gained", () => {
    const score = purchaseScore(
      new Map([
        ["laser", 20],
        ["kiln", 18],
        ["mill", 1],
      ]),
      { groups: [], ranking: ["kiln"], ties: [] },
    );
    // 8800 ÷ 15 ÷ 240 = 2.44 a member-hour; 4300 ÷ 15 ÷ 216 = 1.33.
    expect(score).toMatchObject({ right: "kiln", second: "laser", isClear: true, isTold: true });
  });
});

describe("findings", () => {
  const trueOnes = trueFindings(truth, loadWorkshop(made.workshop));

  test("the truth told back has full recall and precision", () => {
    const iso = (time: number) => new Date(time * 1000).toISOString();
    const findings: Flag[] = trueOnes.map(({ rule, machine, group, stations, badge, from, until }) => ({
      rule,
      machine: machine?.split(" ")[0] ?? null,
      group,
      station: stations[0] ?? null,
      badge,
      from: iso(from),
      until: iso(until),
      expectedFalse: 0,
    }));
    const scores = findingScores(FINDING_RULES, truth, trueOnes, { findings });
    expect(scores.filter(({ truths, found, falseFlags }) => found < truths || falseFlags > 0)).toEqual([]);
    expect(scores.filter(({ truths }) => truths === 0)).toEqual([]);
  });

  test("silence has no recall, and what was planted is counted by size", () => {
    const scores = findingScores(FINDING_RULES, truth, trueOnes, { findings: [] });
    expect(scores.every(({ found, flags }) => found === 0 && flags === 0)).toBe(true);
    const long = scores.find(({ rule }) => rule === "long-session")!;
    const planted = rowsOf<PlantedRow>(truth, "planted").filter(({ rule }) => rule === "long-session").length;
    expect(long.sizes.reduce((sum, item) => sum + item.planted, 0)).toBe(planted);
  });
});
