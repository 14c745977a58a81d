// The occupancy ladder: for how long none, one, two … units were in use at once.
import * as Plot from "@observablehq/plot";
import type { InUse } from "../ask/answers.ts";
import type { Reader } from "../words/reader.ts";
import { common, placer } from "./axes.ts";
import type { Chart, ChartSettings } from "./chart.ts";

const rungWords = (inUse: number, reader: Reader): string => (inUse === 0 ? "none" : reader.count(inUse));
/** Every rung up to all units, also those that were never reached. */
const rungsOf = (rows: readonly InUse[], units: number): InUse[] => {
  const top = Math.max(units, ...rows.map(({ inUse }) => inUse));
  return Array.from({ length: top + 1 }, (_, inUse) => ({ inUse, hours: rows.find((row) => row.inUse === inUse)?.hours ?? 0 }));
};

const totalOf = (rows: readonly InUse[]): number => rows.reduce((sum, { hours }) => sum + hours, 0);

export const ladder: Chart<InUse, ChartSettings["ladder"]> = {
  table(rows, { units }, reader) {
    const total = totalOf(rows);
    if (total === 0) return null;
    return {
      head: ["Units in use", "Hours", "Share"],
      body: rungsOf(rows, units).map(({ inUse, hours }) => [
        rungWords(inUse, reader),
        reader.hours(hours),
        reader.share(hours / total),
      ]),
    };
  },
  draw(rows, { units }, canvas) {
    const { reader } = canvas;
    const total = totalOf(rows);
    // The fullest rung stands on top, as on a ladder.
    const rungs = rungsOf(rows, units).reverse();
    const figure = Plot.plot({
      ...common(canvas),
      height: 12 + 30 * rungs.length,
      marginLeft: 40,
      marginRight: 96,
      marginTop: 6,
      marginBottom: 6,
      x: { domain: [0, total], axis: null },
      y: { domain: rungs.map(({ inUse }) => inUse), padding: 0.34 },
      marks: [
        Plot.axisY({ tickSize: 0, label: null, tickFormat: (inUse: number) => rungWords(inUse, reader) }),
        Plot.barX(rungs, { x: total, y: "inUse", fill: "var(--hair)" }),
        Plot.barX(rungs, {
          x: "hours",
          y: "inUse",
          fill: ({ inUse }: InUse) => (inUse >= units ? "var(--accent)" : inUse === 0 ? "var(--mark-soft)" : "var(--mark)"),
        }),
        Plot.text(rungs, {
          x: total,
          y: "inUse",
          text: ({ hours }: InUse) => `${reader.hours(hours)} h · ${reader.share(hours / total)}`,
          textAnchor: "start",
          dx: 8,
          fill: "var(--ink)",
        }),
      ],
    }) as unknown as Plot.Plot & SVGElement;
    const x = placer(figure, "x");
    const y = placer(figure, "y");
    return {
      figure,
      stride: 1,
      marks: rungs.map(({ inUse, hours }) => ({
        x: x(hours),
        y: y(inUse),
        says: `${rungWords(inUse, reader)} in use: ${reader.hours(hours)} hours, ${reader.share(hours / total)} of the open time`,
      })),
    };
  },
};
