import { parseHTML } from "linkedom";
import { describe, expect, test } from "vitest";
import type { Answers, HoursRow } from "../../dashboard/pages/ask/answers.ts";
import type { Canvas, Chart, ChartName, ChartRows, ChartSettings } from "../../dashboard/pages/charts/chart.ts";
import { charts } from "../../dashboard/pages/charts/charts.ts";
import { dress, nearestMark } from "../../dashboard/pages/charts/dress.ts";
import { minutesByHour, minutesByHourOfWeek, together, weekdayCounts } from "../../dashboard/pages/charts/sums.ts";
import { pointsOf } from "../../dashboard/pages/leaves/bench/lives.tsx";
import { wantedRows, worthRows } from "../../dashboard/pages/leaves/demand/told.ts";
import { fiveCounts, sumOfReadings } from "../../dashboard/pages/leaves/five-counts.ts";
import { stationDays } from "../../dashboard/pages/leaves/log.tsx";
import { nightsOf } from "../../dashboard/pages/leaves/safety.tsx";
import { wearPoints, wornTask } from "../../dashboard/pages/service/wear.ts";
import { readerOf } from "../../dashboard/pages/words/reader.ts";
import { fixtureAsker } from "./fixtures/workshop.ts";

const reader = readerOf("en-GB");
const { ask } = fixtureAsker();
const september = { since: "2026-09-01", until: "2026-09-30" };
const summer = { since: "2026-06-29", until: "2026-10-04" };

const canvas = (width: number): Canvas => ({
  width,
  reader,
  document: parseHTML("<html><body></body></html>").document as unknown as Document,
});

interface Sample<Name extends ChartName> {
  rows: readonly ChartRows[Name][];
  settings: ChartSettings[Name];
}

const hours = async (params: Record<string, string>): Promise<HoursRow[]> => (await ask("hours", params)).rows;
const log = (): Promise<Answers["log"]> => ask("log", september);

const samples: { [Name in ChartName]: () => Promise<Sample<Name>> } = {
  timeBars: async () => ({
    rows: await hours({ by: "week", machine: "planer", ...summer }),
    settings: { by: "week", shown: summer, chosen: september, what: "runHours", machines: ["planer"] },
  }),
  machineBars: async () => ({
    rows: await hours(september),
    settings: { machines: (await ask("machines")).machines, atMost: 5 },
  }),
  weekMap: async () => ({
    rows: await hours({ by: "hour-of-week", machine: "planer", ...september }),
    settings: { machines: ["planer"], lived: september, places: 1 },
  }),
  dayProfile: async () => ({
    rows: await hours({ by: "hour-of-week", machine: "planer", ...september }),
    settings: { machines: ["planer"], lived: september, places: 1 },
  }),
  lengths: async () => ({ rows: (await ask("sessions", { machine: "planer", ...summer })).sessions, settings: {} }),
  ladder: async () => ({
    rows: (await ask("occupancy", september)).groups.find(({ group }) => group === "table-saw")!.hoursByInUse,
    settings: { units: 2 },
  }),
  nightMap: async () => {
    const shown = { since: "2026-09-12", until: "2026-09-30" };
    return { rows: nightsOf(await ask("safety", shown), shown), settings: {} };
  },
  lengthStrip: async () => ({
    rows: (await ask("safety")).lengths.map((strip, i) => ({ ...strip, far: i === 2 ? [390, 900] : [] })),
    settings: {},
  }),
  counts: async () => ({ rows: fiveCounts(sumOfReadings((await log()).readings)), settings: {} }),
  freshness: async () => ({ rows: (await log()).coverage, settings: { shown: { since: "2026-09-17", until: "2026-09-30" } } }),
  coverage: async () => {
    const shown = { since: "2026-09-17", until: "2026-09-30" };
    return { rows: stationDays((await log()).coverage, shown), settings: { shown } };
  },
  worth: async () => {
    const told = await ask("demand");
    const { machines } = await ask("machines");
    return { rows: worthRows(told, machines, reader), settings: { unit: "member-hours gained a month" } };
  },
  wantedMap: async () => {
    const group = (await ask("demand")).groups.find((each) => each.group === "table-saw")!;
    return { rows: wantedRows(group), settings: { units: 2 } };
  },
  lifeCurve: async () => ({
    rows: pointsOf(
      { time: [54, 187, 240], survival: [0.8, 0.6, 0.3], low: [0.2, 0.1, null], high: [0.97, 0.88, null], median: 240 },
      {
        ...{
          shape: 2,
          scale: 200,
          shapeLow: 1,
          shapeHigh: 4,
          scaleLow: 120,
          scaleHigh: 320,
          b10: 65,
          b10Low: 30,
          b10High: 110,
          mean: 177,
        },
        curve: {
          time: [50, 100, 200, 300],
          survival: [0.94, 0.78, 0.37, 0.11],
          low: [0.7, 0.5, 0.1, null],
          high: [0.99, 0.92, 0.66, null],
        },
      },
    ),
    settings: { unit: "hours" },
  }),
  dueDots: async () => ({
    rows: (await ask("due")).tasks.map(({ partName, taskName, state, dots, due }) => ({
      name: `${partName}: ${taskName}`,
      state,
      dots: dots ?? [],
      ...due,
    })),
    settings: { today: "2026-10-01" },
  }),
  wearLine: async () => {
    const task = wornTask((await ask("due", { machine: "planer" })).tasks)!;
    const weeks = await hours({ by: "week", machine: "planer", ...summer });
    const { services } = await ask("service list", { machine: "planer" });
    return {
      rows: wearPoints(task, weeks, services, "2026-09-20"),
      settings: { today: "2026-09-20", unit: "run-hours", interval: 15 },
    };
  },
};

const rounded = (markup: string): string =>
  markup
    .replaceAll(/-?\d+\.\d+(e-?\d+)?/g, (figure) => String(Math.round(Number(figure) * 1000) / 1000))
    .replaceAll("><", ">\n<");

describe.each(Object.keys(samples) as ChartName[])("%s", (name) => {
  const chart = charts[name] as Chart<unknown, unknown>;

  test("is drawn as it was", async () => {
    const { rows, settings } = await samples[name]();
    const { figure } = chart.draw(rows, settings, canvas(640));
    const svg = rounded(dress(figure).outerHTML);
    expect(svg).not.toContain("⚠");
    await expect(svg).toMatchFileSnapshot(`golden/${name}.svg.txt`);
  });

  test("says each of its marks, and its table says as much", async () => {
    const { rows, settings } = await samples[name]();
    const { marks } = chart.draw(rows, settings, canvas(640));
    const table = chart.table(rows, settings, reader)!;
    const words = [
      `${marks.length} marks`,
      ...marks.map(({ says }) => says),
      "",
      table.head.join(" | "),
      ...table.body.map((row) => row.join(" | ")),
      "",
    ].join("\n");
    expect(words).not.toMatch(/NaN|undefined|Infinity|\bsafe\b|\boff\b/);
    await expect(words).toMatchFileSnapshot(`golden/${name}.words.txt`);
  });

  test("fits a phone, marks inside, and asks nothing of the page's policy", async () => {
    const { rows, settings } = await samples[name]();
    const { figure, marks } = chart.draw(rows, settings, canvas(340));
    const dressed = dress(figure);
    expect(Number(dressed.getAttribute("width"))).toBe(340);
    const height = Number(dressed.getAttribute("height"));
    for (const { x, y } of marks) {
      expect(x).toBeGreaterThanOrEqual(0);
      expect(x).toBeLessThanOrEqual(340);
      expect(y).toBeGreaterThanOrEqual(0);
      expect(y).toBeLessThanOrEqual(height);
    }
    expect(dressed.querySelectorAll("style").length).toBe(0);
    expect([...dressed.querySelectorAll("g[aria-label]")].every((group) => group.getAttribute("role") === "group")).toBe(true);
    expect(dressed.getAttribute("aria-hidden")).toBe("true");
  });

  test("nothing to draw is said, not drawn as empty axes", async () => {
    const { settings } = await samples[name]();
    expect(chart.table([], settings, reader)).toBeNull();
  });
});

describe("sums behind charts", () => {
  test("of one row the range stands, of several only the best adds up", () => {
    expect(together([{ low: 1, best: 2, high: 3 }])).toEqual({ low: 1, best: 2, high: 3 });
    expect(
      together([
        { low: 1, best: 2, high: 3 },
        { low: 4, best: 4, high: 4 },
      ]),
    ).toEqual({ low: null, best: 6, high: null });
    expect(
      together([
        { low: 2, best: 2, high: 2 },
        { low: 4, best: 4, high: 4 },
      ]),
    ).toEqual({ low: 6, best: 6, high: 6 });
  });

  test("weekdays are counted, not guessed", () => {
    // September 2026 starts on a Tuesday and has 30 days.
    expect(weekdayCounts(september)).toEqual([4, 5, 5, 4, 4, 4, 4]);
    expect(weekdayCounts({ since: "2026-09-06", until: "2026-09-06" })).toEqual([0, 0, 0, 0, 0, 0, 1]);
  });

  test("the map and the profile hold the same hours as the machine's total", async () => {
    const rows = await hours({ by: "hour-of-week", machine: "planer", ...september });
    const [total] = await hours({ machine: "planer", ...september });
    const counts = weekdayCounts(september);
    const map = minutesByHourOfWeek(rows, ["planer"], september);
    const fromMap = map.reduce((sum, { hourOfWeek, minutes }) => sum + minutes * counts[Math.floor(hourOfWeek / 24)]!, 0) / 60;
    const fromProfile = (minutesByHour(rows, ["planer"], september).reduce((sum, minutes) => sum + minutes, 0) * 30) / 60;
    expect(fromMap).toBeCloseTo(total!.enabledHours.best!, 6);
    expect(fromProfile).toBeCloseTo(total!.enabledHours.best!, 6);
  });

  test("a pointer reads the nearest mark", () => {
    const marks = [
      { x: 10, y: 50, says: "a" },
      { x: 30, y: 10, says: "b" },
      { x: 30, y: 90, says: "c" },
    ];
    expect(nearestMark(marks, 12, 0, false)).toBe(0);
    expect(nearestMark(marks, 29, 80, true)).toBe(2);
  });
});
