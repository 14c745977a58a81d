// Hours per machine: badge time as a bar, run-hours as a dot on the line of its range.
import * as Plot from "@observablehq/plot";
import type { HoursRow } from "../ask/answers.ts";
import type { Reader } from "../words/reader.ts";
import { common, placer } from "./axes.ts";
import type { Chart, ChartSettings } from "./chart.ts";

type Settings = ChartSettings["machineBars"];

interface Line {
  name: string;
  row: HoursRow;
}

function linesOf(rows: readonly HoursRow[], { machines, atMost }: Settings): Line[] {
  const names = new Map(machines.map(({ machine, name }) => [machine, name]));
  return rows
    .map((row) => ({ name: names.get(row.machine) ?? row.machine, row }))
    .sort((a, b) => lengthOf(b.row) - lengthOf(a.row) || (a.name < b.name ? -1 : 1))
    .slice(0, atMost ?? rows.length);
}

/** Badge hours, or run-hours of a machine that is known by its meter alone. */
const lengthOf = ({ enabledHours, runHours }: HoursRow): number => enabledHours.best ?? runHours.best ?? 0;

const wordsOf = ({ enabledHours, runHours }: HoursRow, reader: Reader): string =>
  [enabledHours.best === null ? [] : `${reader.range(enabledHours)} badge hours`, `${reader.range(runHours)} run-hours`]
    .flat()
    .join(", ");

const shortened = (name: string, letters: number): string => (name.length > letters ? `${name.slice(0, letters - 1)}…` : name);

export const machineBars: Chart<HoursRow, Settings> = {
  table(rows, settings, reader) {
    const lines = linesOf(rows, settings);
    if (lines.length === 0) return null;
    return {
      head: ["Machine", "Badge hours", "Run-hours", "Sessions", "Starts"],
      body: lines.map(({ name, row }) => [
        name,
        row.enabledHours.best === null ? "–" : reader.range(row.enabledHours),
        reader.range(row.runHours),
        row.sessions === null ? "–" : reader.count(row.sessions),
        row.starts === null ? "–" : reader.count(row.starts),
      ]),
    };
  },
  draw(rows, settings, canvas) {
    const lines = linesOf(rows, settings);
    const { reader, width } = canvas;
    const letters = width < 480 ? 15 : 24;
    const rowOf = (line: Line) => line.row.machine;
    const figure = Plot.plot({
      ...common(canvas),
      height: 40 + 30 * lines.length,
      marginLeft: width < 480 ? 112 : 176,
      marginRight: 64,
      marginTop: 8,
      marginBottom: 32,
      x: { zero: true },
      y: { domain: lines.map(rowOf), padding: 0.42 },
      marks: [
        Plot.gridX({ ticks: width < 480 ? 3 : 6, stroke: "var(--hair)", strokeOpacity: 1 }),
        Plot.axisX({
          ticks: width < 480 ? 3 : 6,
          tickSize: 0,
          tickFormat: (value: number) => reader.figure(value),
          label: null,
        }),
        Plot.axisY({
          tickSize: 0,
          label: null,
          tickFormat: (machine: string) => shortened(lines.find((line) => rowOf(line) === machine)?.name ?? machine, letters),
        }),
        Plot.barX(lines, { x: (line: Line) => line.row.enabledHours.best ?? 0, y: rowOf, fill: "var(--mark-soft)" }),
        Plot.ruleY(lines, {
          x1: (line: Line) => line.row.runHours.low,
          x2: (line: Line) => line.row.runHours.high,
          y: rowOf,
          stroke: "var(--accent)",
          strokeWidth: 2,
        }),
        Plot.dot(lines, {
          x: (line: Line) => line.row.runHours.best,
          y: rowOf,
          r: 4,
          fill: "var(--accent)",
          stroke: "var(--paper)",
        }),
        Plot.text(lines, {
          x: (line: Line) => Math.max(line.row.enabledHours.best ?? 0, line.row.runHours.high ?? 0),
          y: rowOf,
          text: (line: Line) => reader.hours(lengthOf(line.row)),
          textAnchor: "start",
          dx: 7,
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
      marks: lines.map((line) => ({
        x: x(lengthOf(line.row)),
        y: y(rowOf(line)),
        says: `${line.name}: ${wordsOf(line.row, reader)}`,
      })),
    };
  },
};
