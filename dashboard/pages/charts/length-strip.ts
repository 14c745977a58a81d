// How long sessions on each machine are, on a log scale: the middle half, the median, the fences, and what lies far beyond.
import * as Plot from "@observablehq/plot";
import { lengthWords } from "../words/rules.ts";
import { common, placer } from "./axes.ts";
import type { Chart, ChartRows } from "./chart.ts";

type Row = ChartRows["lengthStrip"];

const ticks = [0.5, 2, 10, 30, 120, 480, 1440, 4320];
const tickWords = (minutes: number): string =>
  minutes < 1
    ? `${minutes * 60} s`
    : minutes < 60
      ? `${minutes} min`
      : minutes < 1440
        ? `${minutes / 60} h`
        : `${minutes / 1440} d`;

export const lengthStrip: Chart<Row, Record<string, never>> = {
  table(rows, _settings, reader) {
    if (rows.length === 0) return null;
    return {
      head: ["Machine", "Sessions", "Half are shorter than", "Lower fence", "Upper fence", "Far beyond"],
      body: rows.map(({ name, sessions, medianMinutes, lowerMinutes, upperMinutes, far }) => [
        name,
        reader.count(sessions),
        lengthWords(medianMinutes),
        lowerMinutes === null ? "not known" : lengthWords(lowerMinutes),
        upperMinutes === null ? "not known" : lengthWords(upperMinutes),
        far.map(lengthWords).join(", ") || "none",
      ]),
    };
  },
  draw(rows, _settings, canvas) {
    const { reader, width } = canvas;
    const names = rows.map(({ name }) => name);
    const far = rows.flatMap(({ name, far: minutes }) => minutes.map((at) => ({ name, at })));
    const all = [
      ...rows.flatMap(({ quantiles, upperMinutes, lowerMinutes }) => [
        quantiles[0]!,
        quantiles[4]!,
        upperMinutes ?? quantiles[4]!,
        lowerMinutes ?? quantiles[0]!,
      ]),
      ...far.map(({ at }) => at),
    ];
    const domain: [number, number] = [Math.max(0.2, Math.min(...all) * 0.8), Math.max(...all) * 1.25];
    const isNarrow = width < 560;
    const rowHeight = isNarrow ? 34 : 22;
    const fenced = rows.flatMap(({ name, lowerMinutes, upperMinutes }) =>
      lowerMinutes === null || upperMinutes === null
        ? []
        : [{ name, from: Math.max(domain[0], lowerMinutes), until: Math.min(domain[1], upperMinutes) }],
    );
    const figure = Plot.plot({
      ...common(canvas),
      height: 30 + rowHeight * rows.length,
      marginLeft: isNarrow ? 8 : 170,
      marginRight: 10,
      marginTop: 4,
      marginBottom: 26,
      x: { type: "log", domain },
      y: { domain: names, padding: isNarrow ? 0.55 : 0.3, ...(isNarrow ? { axis: null } : {}) },
      marks: [
        Plot.gridX({ ticks: ticks.filter((at) => at > domain[0] && at < domain[1]), stroke: "var(--hair)", strokeOpacity: 1 }),
        Plot.axisX({
          ticks: ticks.filter((at) => at > domain[0] && at < domain[1]),
          tickSize: 0,
          label: null,
          tickFormat: tickWords,
        }),
        isNarrow
          ? Plot.text(rows, {
              x: () => domain[0],
              y: "name",
              text: "name",
              textAnchor: "start",
              dy: -13,
              fill: "var(--ink)",
            })
          : Plot.axisY({ tickSize: 0, label: null }),
        Plot.ruleY(fenced, { x1: "from", x2: "until", y: "name", stroke: "var(--rule)", strokeWidth: 1.25 }),
        Plot.tickX(fenced, { x: "from", y: "name", stroke: "var(--rule)", inset: 3 }),
        Plot.tickX(fenced, { x: "until", y: "name", stroke: "var(--rule)", inset: 3 }),
        Plot.barX(rows, {
          x1: (row: Row) => row.quantiles[1]!,
          x2: (row: Row) => row.quantiles[2]!,
          y: "name",
          fill: "var(--mark-soft)",
          inset: 1,
        }),
        Plot.tickX(rows, { x: "medianMinutes", y: "name", stroke: "var(--ink)", strokeWidth: 2 }),
        Plot.dot(far, { x: "at", y: "name", r: 4, fill: "var(--accent)", stroke: "var(--paper)", strokeWidth: 1 }),
      ],
    }) as unknown as Plot.Plot & SVGElement;
    const x = placer(figure, "x");
    const y = placer(figure, "y");
    return {
      figure,
      stride: 1,
      marks: rows.map(({ name, sessions, medianMinutes, upperMinutes, far: minutes }) => ({
        x: x(medianMinutes),
        y: y(name),
        says: `${name}: half of ${reader.count(sessions)} sessions are shorter than ${lengthWords(medianMinutes)}${
          upperMinutes === null ? "" : `, the upper fence stands at ${lengthWords(upperMinutes)}`
        }; ${minutes.length > 0 ? `far beyond: ${minutes.map(lengthWords).join(", ")}` : "none far beyond"}`,
      })),
    };
  },
};
