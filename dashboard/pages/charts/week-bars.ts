// Hours by week: a bar a week, the chosen period in the accent, a line where the figure is a range.
import * as Plot from "@observablehq/plot";
import type { HoursRow, MaybeRange } from "../ask/answers.ts";
import { plusDays } from "../period/days.ts";
import type { Reader } from "../words/reader.ts";
import { common, dateOfDay, dayAxis, figureAxis, placer } from "./axes.ts";
import type { Chart, ChartSettings } from "./chart.ts";
import { grouped, together } from "./sums.ts";

type Settings = ChartSettings["weekBars"];

interface Week {
  day: string;
  hours: MaybeRange;
  isChosen: boolean;
}

const weeksOf = (rows: readonly HoursRow[], { chosen, what, machines }: Settings): Week[] =>
  [
    ...grouped(
      rows.filter(({ machine }) => machines.includes(machine)),
      ({ day }) => day ?? "",
    ),
  ]
    .map(([day, group]) => ({
      day,
      hours: together(group.map((row) => row[what])),
      isChosen: chosen !== null && day <= chosen.until && plusDays(day, 6) >= chosen.since,
    }))
    .sort((a, b) => (a.day < b.day ? -1 : 1));

const says = ({ day, hours }: Week, reader: Reader): string => `week of ${reader.day(day)}: ${reader.range(hours)} hours`;

export const weekBars: Chart<HoursRow, Settings> = {
  table(rows, settings, reader) {
    const weeks = weeksOf(rows, settings);
    if (weeks.length === 0) return null;
    return { head: ["Week of", "Hours"], body: weeks.map(({ day, hours }) => [reader.day(day), reader.range(hours)]) };
  },
  draw(rows, settings, canvas) {
    const weeks = weeksOf(rows, settings);
    const ranged = weeks.filter(({ hours: { low, high } }) => low !== null && high !== null && high - low > 0.005);
    const figure = Plot.plot({
      ...common(canvas),
      height: 200,
      marginLeft: 40,
      marginRight: 8,
      marginTop: 12,
      marginBottom: 34,
      x: { type: "utc", domain: [dateOfDay(settings.shown.since), dateOfDay(plusDays(settings.shown.until, 1))] },
      y: { zero: true },
      marks: [
        ...figureAxis(canvas.reader),
        dayAxis(settings.shown, canvas),
        Plot.rectY(weeks, {
          x1: (week: Week) => dateOfDay(week.day),
          x2: (week: Week) => dateOfDay(plusDays(week.day, 7)),
          y: (week: Week) => week.hours.best ?? 0,
          fill: (week: Week) => (week.isChosen ? "var(--accent)" : "var(--mark-soft)"),
          inset: 0.75,
          clip: true,
        }),
        Plot.ruleX(ranged, {
          x: (week: Week) => dateOfDay(plusDays(week.day, 3)),
          y1: (week: Week) => week.hours.low,
          y2: (week: Week) => week.hours.high,
          stroke: "var(--ink)",
          strokeWidth: 1.5,
        }),
        Plot.ruleY([0], { stroke: "var(--ink)" }),
      ],
    }) as unknown as Plot.Plot & SVGElement;
    const x = placer(figure, "x");
    const y = placer(figure, "y");
    return {
      figure,
      stride: 1,
      marks: weeks.map((week) => ({
        x: x(dateOfDay(plusDays(week.day, 3))),
        y: y(week.hours.best ?? 0),
        says: says(week, canvas.reader),
      })),
    };
  },
};
