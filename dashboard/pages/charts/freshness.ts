// Lines by day for the last days of the log: whether it still comes in.
import * as Plot from "@observablehq/plot";
import type { Covered } from "../ask/answers.ts";
import { daysBetween, plusDays } from "../period/days.ts";
import { common, dateOfDay, dayAxis, figureAxis, placer } from "./axes.ts";
import type { Chart, ChartSettings } from "./chart.ts";
import { grouped } from "./sums.ts";

type Settings = ChartSettings["freshness"];

interface Day {
  day: string;
  events: number;
  stations: number;
}

function daysOf(rows: readonly Covered[], { shown }: Settings): Day[] {
  const byDay = grouped(rows, ({ day }) => day);
  return Array.from({ length: daysBetween(shown.since, shown.until) + 1 }, (_, i) => {
    const day = plusDays(shown.since, i);
    const group = byDay.get(day) ?? [];
    return {
      day,
      events: group.reduce((sum, { events }) => sum + events, 0),
      stations: group.filter(({ events, alive }) => events + alive > 0).length,
    };
  });
}

export const freshness: Chart<Covered, Settings> = {
  table(rows, settings, reader) {
    const days = daysOf(rows, settings);
    if (!days.some(({ events, stations }) => events + stations > 0)) return null;
    return {
      head: ["Day", "Events", "Stations heard"],
      body: days.map(({ day, events, stations }) => [reader.day(day), reader.count(events), reader.count(stations)]),
    };
  },
  draw(rows, settings, canvas) {
    const { reader } = canvas;
    const days = daysOf(rows, settings);
    const figure = Plot.plot({
      ...common(canvas),
      height: 150,
      marginLeft: 40,
      marginRight: 8,
      marginTop: 12,
      marginBottom: 28,
      x: { type: "utc", domain: [dateOfDay(settings.shown.since), dateOfDay(plusDays(settings.shown.until, 1))] },
      y: { zero: true },
      marks: [
        ...figureAxis(reader, 3),
        dayAxis(settings.shown, canvas),
        Plot.rectY(days, {
          x1: (day: Day) => dateOfDay(day.day),
          x2: (day: Day) => dateOfDay(plusDays(day.day, 1)),
          y: "events",
          fill: "var(--mark)",
          inset: 1,
        }),
        Plot.ruleY([0], { stroke: "var(--ink)" }),
      ],
    }) as unknown as Plot.Plot & SVGElement;
    const x = placer(figure, "x");
    const y = placer(figure, "y");
    return {
      figure,
      stride: 1,
      marks: days.map(({ day, events, stations }) => ({
        x: (x(dateOfDay(day)) + x(dateOfDay(plusDays(day, 1)))) / 2,
        y: y(events),
        says: `${reader.day(day)}: ${reader.count(events)} events, ${reader.count(stations)} stations heard`,
      })),
    };
  },
};
