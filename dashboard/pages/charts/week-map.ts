// The week as a map: seven days by twenty-four hours, darker the longer in use. Six steps, so that a grey print keeps them.
import * as Plot from "@observablehq/plot";
import type { HoursRow } from "../ask/answers.ts";
import type { Reader } from "../words/reader.ts";
import { common, placer } from "./axes.ts";
import type { Chart, ChartSettings } from "./chart.ts";
import { type HourOfWeek, minutesByHourOfWeek } from "./sums.ts";

type Settings = ChartSettings["weekMap"];

export const heatSteps = 6;

/** 0 only for nothing at all; else 1 to 5 in equal parts of the largest. */
export const heatStep = (value: number, largest: number): number =>
  value <= 0 || largest <= 0 ? 0 : Math.min(heatSteps - 1, 1 + Math.floor(((heatSteps - 1) * value) / largest - 1e-9));

export const hourWords = (hour: number): string =>
  `${String(hour).padStart(2, "0")}:00–${String((hour + 1) % 24).padStart(2, "0")}:00`;

export const minutesWords = (minutes: number, reader: Reader): string =>
  `${reader.figure(minutes, minutes < 10 ? 2 : 3)} minutes`;

export const weekMap: Chart<HoursRow, Settings> = {
  table(rows, { machines, lived }, reader) {
    const hours = minutesByHourOfWeek(rows, machines, lived);
    if (!hours.some(({ minutes }) => minutes > 0)) return null;
    return {
      head: ["Hour", ...reader.weekdays()],
      body: Array.from({ length: 24 }, (_, hour) => [
        hourWords(hour),
        ...Array.from({ length: 7 }, (_, weekday) => reader.figure(hours[weekday * 24 + hour]!.minutes, 2)),
      ]),
    };
  },
  draw(rows, { machines, lived }, canvas) {
    const { reader, width } = canvas;
    const hours = minutesByHourOfWeek(rows, machines, lived);
    const largest = Math.max(...hours.map(({ minutes }) => minutes));
    const names = reader.weekdays();
    const weekday = ({ hourOfWeek }: HourOfWeek) => Math.floor(hourOfWeek / 24);
    const hour = ({ hourOfWeek }: HourOfWeek) => hourOfWeek % 24;
    const figure = Plot.plot({
      ...common(canvas),
      height: 7 * 26 + 34,
      marginLeft: 44,
      marginRight: 2,
      marginTop: 4,
      marginBottom: 30,
      x: { domain: Array.from({ length: 24 }, (_, i) => i), padding: width < 480 ? 0.08 : 0.06 },
      y: { domain: [0, 1, 2, 3, 4, 5, 6], padding: 0.12 },
      marks: [
        Plot.axisX({
          tickSize: 0,
          label: null,
          ticks: [0, 6, 12, 18],
          tickFormat: (at: number) => `${String(at).padStart(2, "0")}:00`,
        }),
        Plot.axisY({ tickSize: 0, label: null, tickFormat: (day: number) => names[day] ?? "" }),
        Plot.cell(hours, {
          x: hour,
          y: weekday,
          fill: (at: HourOfWeek) => `var(--heat-${heatStep(at.minutes, largest)})`,
          rx: 1,
        }),
      ],
    }) as unknown as Plot.Plot & SVGElement;
    const x = placer(figure, "x");
    const y = placer(figure, "y");
    const longNames = reader.longWeekdays();
    return {
      figure,
      stride: 24,
      marks: hours.map((at) => ({
        x: x(hour(at)),
        y: y(weekday(at)),
        says: `${longNames[weekday(at)]} ${hourWords(hour(at))}: ${minutesWords(at.minutes, reader)} in use on average`,
      })),
    };
  },
};
