// The week as a map of what is wished for, against what the units can take. Six steps, so that a grey print keeps them.
import * as Plot from "@observablehq/plot";
import type { Reader } from "../words/reader.ts";
import { common, placer } from "./axes.ts";
import type { Chart, ChartRows, ChartSettings } from "./chart.ts";
import { hourWords } from "./week-map.ts";

type Row = ChartRows["wantedMap"];

/** 0 for nothing, 1 to 4 in quarters of what the units can take, 5 for more than that. */
export const filledStep = (filled: number): number =>
  filled <= 0 ? 0 : filled > 1 ? 5 : Math.min(4, 1 + Math.floor(filled * 4));

const says = ({ turns, filled }: Row, units: number, reader: Reader): string =>
  `${reader.range(turns)} turns wished for an hour, ${reader.share(filled)} of what ${units === 1 ? "the unit" : `all ${reader.count(units)} units`} can take`;

export const wantedMap: Chart<Row, ChartSettings["wantedMap"]> = {
  table(rows, _settings, reader) {
    if (rows.length === 0) return null;
    const at = new Map(rows.map((row) => [row.hourOfWeek, row]));
    return {
      head: ["Hour", ...reader.weekdays()],
      body: Array.from({ length: 24 }, (_, hour) => [
        hourWords(hour),
        ...Array.from({ length: 7 }, (_, weekday) => {
          const row = at.get(weekday * 24 + hour);
          return row ? `${reader.figure(row.turns.best, 2)} · ${reader.share(row.filled)}` : "";
        }),
      ]).filter((cells) => cells.slice(1).some((cell) => cell !== "")),
    };
  },
  draw(rows, { units }, canvas) {
    const { reader, width } = canvas;
    const names = reader.weekdays();
    const longNames = reader.longWeekdays();
    const hours = [...rows].sort((a, b) => a.hourOfWeek - b.hourOfWeek);
    const weekday = ({ hourOfWeek }: Row) => Math.floor(hourOfWeek / 24);
    const hour = ({ hourOfWeek }: Row) => hourOfWeek % 24;
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
        Plot.cell(hours, { x: hour, y: weekday, fill: (row: Row) => `var(--heat-${filledStep(row.filled)})`, rx: 1 }),
      ],
    }) as unknown as Plot.Plot & SVGElement;
    const x = placer(figure, "x");
    const y = placer(figure, "y");
    return {
      figure,
      stride: 1,
      marks: hours.map((row) => ({
        x: x(hour(row)),
        y: y(weekday(row)),
        says: `${longNames[weekday(row)]} ${hourWords(hour(row))}: ${says(row, units, reader)}`,
      })),
    };
  },
};
