// What one more unit of each group would give: a dot on the line of its range, the best buy on top.
import * as Plot from "@observablehq/plot";
import type { Reader } from "../words/reader.ts";
import { common, placer } from "./axes.ts";
import type { Chart, ChartRows, ChartSettings } from "./chart.ts";

type Row = ChartRows["worth"];

const shortened = (name: string, letters: number): string => (name.length > letters ? `${name.slice(0, letters - 1)}…` : name);
const rangeWords = ({ gained }: Row, reader: Reader): string => reader.range(gained);

export const worth: Chart<Row, ChartSettings["worth"]> = {
  table(rows, { unit }, reader) {
    if (rows.length === 0) return null;
    return { head: ["One more", unit, "Cost"], body: rows.map((row) => [row.name, rangeWords(row, reader), row.says]) };
  },
  draw(rows, { unit }, canvas) {
    const { reader, width } = canvas;
    const letters = width < 480 ? 15 : 24;
    const figure = Plot.plot({
      ...common(canvas),
      height: 40 + 28 * rows.length,
      marginLeft: width < 480 ? 112 : 176,
      marginRight: width < 480 ? 84 : 132,
      marginTop: 8,
      marginBottom: 32,
      x: { zero: true },
      y: { domain: rows.map(({ name }) => name), padding: 0.42 },
      marks: [
        Plot.gridX({ ticks: width < 480 ? 3 : 6, stroke: "var(--hair)", strokeOpacity: 1 }),
        Plot.axisX({
          ticks: width < 480 ? 3 : 6,
          tickSize: 0,
          tickFormat: (value: number) => reader.figure(value),
          label: null,
        }),
        Plot.axisY({ tickSize: 0, label: null, tickFormat: (name: string) => shortened(name, letters) }),
        Plot.ruleY(rows, {
          x1: ({ gained }: Row) => gained.low,
          x2: ({ gained }: Row) => gained.high,
          y: "name",
          stroke: "var(--mark)",
          strokeWidth: 3,
        }),
        Plot.dot(rows, {
          x: ({ gained }: Row) => gained.best,
          y: "name",
          r: 4.5,
          fill: "var(--accent)",
          stroke: "var(--paper)",
        }),
        Plot.text(rows, {
          x: ({ gained }: Row) => gained.high,
          y: "name",
          text: (row: Row) => rangeWords(row, reader),
          textAnchor: "start",
          dx: 8,
          fill: "var(--ink)",
        }),
        Plot.ruleX([0], { stroke: "var(--ink)" }),
      ],
    }) as unknown as Plot.Plot & SVGElement;
    const x = placer(figure, "x");
    const y = placer(figure, "y");
    return {
      figure,
      stride: 1,
      marks: rows.map((row) => ({
        x: x(row.gained.best),
        y: y(row.name),
        says: `${row.name}: ${rangeWords(row, reader)} ${unit}${row.says ? `; ${row.says}` : ""}`,
      })),
    };
  },
};
