// Hours by week or month: a bar each, the chosen period in the accent, a line where the figure is a range.
import * as Plot from "@observablehq/plot";
import type { HoursRow, MaybeRange } from "../ask/answers.ts";
import { firstOfMonth, plusDays } from "../period/days.ts";
import type { Reader } from "../words/reader.ts";
import { common, dateOfDay, dayAxis, figureAxis, placer } from "./axes.ts";
import type { Bucket, Chart, ChartSettings } from "./chart.ts";
import { grouped, together } from "./sums.ts";

type Settings = ChartSettings["timeBars"];

interface Bar {
  day: string;
  /** The day after its last. */
  next: string;
  hours: MaybeRange;
  isChosen: boolean;
}

const barsOf = (rows: readonly HoursRow[], { by, chosen, what, machines }: Settings): Bar[] =>
  [
    ...grouped(
      rows.filter(({ machine }) => machines.includes(machine)),
      ({ day }) => day ?? "",
    ),
  ]
    .map(([day, group]) => {
      const next = by === "week" ? plusDays(day, 7) : firstOfMonth(day, 1);
      return {
        day,
        next,
        hours: together(group.map((row) => row[what])),
        isChosen: chosen !== null && day <= chosen.until && next > chosen.since,
      };
    })
    .sort((a, b) => (a.day < b.day ? -1 : 1));

const nameOf = (day: string, by: Bucket, reader: Reader): string => (by === "week" ? reader.day(day) : reader.month(day));

const says = ({ day, hours }: Bar, by: Bucket, reader: Reader): string =>
  `${by === "week" ? "week of " : ""}${nameOf(day, by, reader)}: ${reader.range(hours)} hours`;

const middleOf = ({ day, next }: Bar): Date => new Date((dateOfDay(day).getTime() + dateOfDay(next).getTime()) / 2);

export const timeBars: Chart<HoursRow, Settings> = {
  table(rows, settings, reader) {
    const bars = barsOf(rows, settings);
    if (bars.length === 0) return null;
    const head = [settings.by === "week" ? "Week of" : "Month", "Hours"];
    return { head, body: bars.map(({ day, hours }) => [nameOf(day, settings.by, reader), reader.range(hours)]) };
  },
  draw(rows, settings, canvas) {
    const bars = barsOf(rows, settings);
    const ranged = bars.filter(({ hours: { low, high } }) => low !== null && high !== null && high - low > 0.005);
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
        Plot.rectY(bars, {
          x1: (bar: Bar) => dateOfDay(bar.day),
          x2: (bar: Bar) => dateOfDay(bar.next),
          y: (bar: Bar) => bar.hours.best ?? 0,
          fill: (bar: Bar) => (bar.isChosen ? "var(--accent)" : "var(--mark-soft)"),
          inset: 0.75,
          clip: true,
        }),
        Plot.ruleX(ranged, {
          x: (bar: Bar) => middleOf(bar),
          y1: (bar: Bar) => bar.hours.low,
          y2: (bar: Bar) => bar.hours.high,
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
      marks: bars.map((bar) => ({
        x: x(middleOf(bar)),
        y: y(bar.hours.best ?? 0),
        says: says(bar, settings.by, canvas.reader),
      })),
    };
  },
};
