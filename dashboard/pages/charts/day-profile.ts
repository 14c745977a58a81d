// The day's profile: minutes in use within each hour of an average day.
import * as Plot from "@observablehq/plot";
import type { HoursRow } from "../ask/answers.ts";
import { common, figureAxis, placer } from "./axes.ts";
import type { Chart, ChartSettings } from "./chart.ts";
import { minutesByHour } from "./sums.ts";
import { hourWords } from "./week-grid.ts";
import { minutesWords } from "./week-map.ts";

type Settings = ChartSettings["dayProfile"];

export const dayProfile: Chart<HoursRow, Settings> = {
  table(rows, { machines, lived }, reader) {
    const minutes = minutesByHour(rows, machines, lived);
    if (!minutes.some((value) => value > 0)) return null;
    return { head: ["Hour", "Minutes in use"], body: minutes.map((value, hour) => [hourWords(hour), reader.figure(value)]) };
  },
  draw(rows, { machines, lived }, canvas) {
    const minutes = minutesByHour(rows, machines, lived).map((value, hour) => ({ hour, value }));
    const figure = Plot.plot({
      ...common(canvas),
      height: 180,
      marginLeft: 40,
      marginRight: 14,
      marginTop: 12,
      marginBottom: 28,
      x: { domain: [0, 24] },
      y: { zero: true },
      marks: [
        ...figureAxis(canvas.reader),
        Plot.axisX({
          ticks: [0, 6, 12, 18, 24],
          tickSize: 4,
          label: null,
          tickFormat: (at: number) => `${String(at).padStart(2, "0")}:00`,
        }),
        Plot.rectY(minutes, {
          x1: "hour",
          x2: ({ hour }: { hour: number }) => hour + 1,
          y: "value",
          fill: "var(--mark)",
          inset: 0.75,
        }),
        Plot.ruleY([0], { stroke: "var(--ink)" }),
      ],
    }) as unknown as Plot.Plot & SVGElement;
    const x = placer(figure, "x");
    const y = placer(figure, "y");
    return {
      figure,
      stride: 1,
      marks: minutes.map(({ hour, value }) => ({
        x: x(hour + 0.5),
        y: y(value),
        says: `${hourWords(hour)}: ${minutesWords(value, canvas.reader)} in use on an average day`,
      })),
    };
  },
};
