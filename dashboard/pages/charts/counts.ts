// What became of every line: the five counts, which add up to the lines read.
import * as Plot from "@observablehq/plot";
import { common, placer } from "./axes.ts";
import type { Chart, ChartRows } from "./chart.ts";

type Row = ChartRows["counts"];

const totalOf = (rows: readonly Row[]): number => rows.reduce((sum, { lines }) => sum + lines, 0);

export const counts: Chart<Row, Record<string, never>> = {
  table(rows, _settings, reader) {
    const total = totalOf(rows);
    if (total === 0) return null;
    return {
      head: ["What became of a line", "Lines", "Share"],
      body: [
        ...rows.map(({ name, lines }) => [name, reader.count(lines), reader.share(lines / total)]),
        ["all lines read", reader.count(total), reader.share(1)],
      ],
    };
  },
  draw(rows, _settings, canvas) {
    const { reader } = canvas;
    const total = totalOf(rows);
    const figure = Plot.plot({
      ...common(canvas),
      height: 12 + 32 * rows.length,
      marginLeft: 92,
      marginRight: 128,
      marginTop: 6,
      marginBottom: 6,
      x: { domain: [0, Math.max(1, total)], axis: null },
      y: { domain: rows.map(({ name }) => name), padding: 0.5 },
      marks: [
        Plot.axisY({ tickSize: 0, label: null }),
        Plot.barX(rows, { x: total, y: "name", fill: "var(--hair)" }),
        Plot.barX(rows, {
          x: "lines",
          y: "name",
          fill: (row: Row) => (row.name === "rejected" ? "var(--accent)" : "var(--mark)"),
        }),
        Plot.text(rows, {
          x: total,
          y: "name",
          text: (row: Row) => `${reader.count(row.lines)} · ${reader.share(total === 0 ? 0 : row.lines / total)}`,
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
        x: x(row.lines),
        y: y(row.name),
        says: `${row.name}: ${reader.count(row.lines)} lines, ${row.says}`,
      })),
    };
  },
};
