// One evening, one lock-out: which tasks meet, on which day, and what stays out.
import { describe, expect, it } from "vitest";
import { type DueTask, eveningsOf } from "../../analytics/index.ts";

const today = "2026-06-01";
const task = (
  task: string,
  early: string | null,
  late: string | null,
  state: DueTask["state"] = "soon",
  machine = "saw",
): DueTask =>
  ({
    machine,
    machineName: machine,
    part: `${task}-part`,
    partName: `${task} part`,
    task,
    taskName: task,
    state,
    due: { early, median: early, late },
  }) as unknown as DueTask;
const quietOn = (quiet: number) => (_machine: string, ahead: number) => (ahead === quiet ? 0.5 : 3);
const ready = () => true;

describe("evenings", () => {
  it("bring tasks together where their windows overlap, on the day that displaces least", () => {
    const tasks = [
      task("sharpen", "2026-06-03", "2026-06-12"),
      task("grease", "2026-06-06", "2026-06-20"),
      task("belt", "2026-07-20", "2026-08-01"),
    ];
    const [evening, ...more] = eveningsOf(tasks, { today, useOn: quietOn(8), isReady: ready });
    expect(more).toEqual([]);
    expect(evening).toMatchObject({ machine: "saw", day: "2026-06-09", isolationsSaved: 1, displacedHours: 0.5, waiting: [] });
    expect(evening!.tasks.map(({ task: id }) => id)).toEqual(["sharpen", "grease"]);
    expect(evening!.memberHoursSaved).toBeCloseTo(2 / 3, 9);
  });

  it("never wait beyond the late end of the most urgent task, nor begin before a window does", () => {
    const tasks = [task("a", "2026-06-02", "2026-06-05"), task("b", "2026-06-06", "2026-06-30")];
    expect(eveningsOf(tasks, { today, useOn: quietOn(1), isReady: ready })).toEqual([]);
  });

  it("take what is overdue along within a fortnight, and leave out what nobody knows", () => {
    const tasks = [
      task("a", "2026-05-01", "2026-05-03", "overdue"),
      task("b", "2026-06-10", "2026-07-30"),
      task("c", null, null, "unknown"),
    ];
    const [evening] = eveningsOf(tasks, { today, useOn: () => 2, isReady: ready });
    expect(evening).toMatchObject({ day: "2026-06-10", isolationsSaved: 1 });
  });

  it("leave out a task whose part is not there by then, and say so", () => {
    const tasks = [
      task("a", "2026-06-03", "2026-06-12"),
      task("b", "2026-06-03", "2026-06-12"),
      task("c", "2026-06-03", "2026-06-12"),
    ];
    const [evening] = eveningsOf(tasks, { today, useOn: () => 1, isReady: ({ task: id }) => id !== "b" });
    expect(evening!.tasks.map(({ task: id }) => id)).toEqual(["a", "c"]);
    expect(evening!.waiting).toEqual(["b part"]);
  });

  it("are none for one task, and one for each machine", () => {
    expect(eveningsOf([task("a", "2026-06-03", "2026-06-12")], { today, useOn: () => 1, isReady: ready })).toEqual([]);
    const both = ["saw", "planer"].flatMap((machine) => [
      task("a", "2026-06-03", "2026-06-12", "soon", machine),
      task("b", "2026-06-03", "2026-06-12", "soon", machine),
    ]);
    expect(eveningsOf(both, { today, useOn: () => 1, isReady: ready }).map(({ machine }) => machine)).toEqual(["saw", "planer"]);
  });
});
