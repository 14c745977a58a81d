// Seven days by twenty-four hours: the ground that every map of the week is drawn on.
import * as Plot from "@observablehq/plot";
import { common, placer } from "./axes.ts";
import type { Canvas, Drawn } from "./chart.ts";

export const hourWords = (hour: number): string =>
  `${String(hour).padStart(2, "0")}:00–${String((hour + 1) % 24).padStart(2, "0")}:00`;

interface Cell {
  /** 0 is Monday's first hour. */
  hourOfWeek: number;
}

/** `heatOf` gives a cell's step from 0 to 5, `says` what is read aloud behind day and hour; `stride`: cells to the next row. */
export function weekGrid<Row extends Cell>(
  cells: readonly Row[],
  canvas: Canvas,
  { stride, heatOf, says }: { stride: number; heatOf(cell: Row): number; says(cell: Row): string },
): Drawn {
  const { reader, width } = canvas;
  const names = reader.weekdays();
  const longNames = reader.longWeekdays();
  const weekday = ({ hourOfWeek }: Cell) => Math.floor(hourOfWeek / 24);
  const hour = ({ hourOfWeek }: Cell) => hourOfWeek % 24;
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
      Plot.cell(cells, { x: hour, y: weekday, fill: (cell: Row) => `var(--heat-${heatOf(cell)})`, rx: 1 }),
    ],
  }) as unknown as Plot.Plot & SVGElement;
  const x = placer(figure, "x");
  const y = placer(figure, "y");
  return {
    figure,
    stride,
    marks: cells.map((cell) => ({
      x: x(hour(cell)),
      y: y(weekday(cell)),
      says: `${longNames[weekday(cell)]} ${hourWords(hour(cell))}: ${says(cell)}`,
    })),
  };
}
