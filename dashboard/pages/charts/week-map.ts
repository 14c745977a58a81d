// The week as a map: seven days by twenty-four hours, darker the longer in use. Six steps, so that a grey print keeps them.
import type { HoursRow } from "../ask/answers.ts";
import type { Reader } from "../words/reader.ts";
import type { Chart, ChartSettings } from "./chart.ts";
import { minutesByHourOfWeek } from "./sums.ts";
import { hourWords, weekGrid } from "./week-grid.ts";

type Settings = ChartSettings["weekMap"];

export const heatSteps = 6;

/** 0 only for nothing at all; else 1 to 5 in equal parts of the largest. */
export const heatStep = (value: number, largest: number): number =>
  value <= 0 || largest <= 0 ? 0 : Math.min(heatSteps - 1, 1 + Math.floor(((heatSteps - 1) * value) / largest - 1e-9));

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
    const { reader } = canvas;
    const hours = minutesByHourOfWeek(rows, machines, lived);
    const largest = Math.max(...hours.map(({ minutes }) => minutes));
    return weekGrid(hours, canvas, {
      stride: 24,
      heatOf: ({ minutes }) => heatStep(minutes, largest),
      says: ({ minutes }) => `${minutesWords(minutes, reader)} in use on average`,
    });
  },
};
