// The week as a map of what is wished for, against what the units can take. Six steps, so that a grey print keeps them.
import type { Reader } from "../words/reader.ts";
import type { Chart, ChartRows, ChartSettings } from "./chart.ts";
import { hourWords, weekGrid } from "./week-grid.ts";

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
    const hours = [...rows].sort((a, b) => a.hourOfWeek - b.hourOfWeek);
    return weekGrid(hours, canvas, {
      stride: 1,
      heatOf: ({ filled }) => filledStep(filled),
      says: (row) => says(row, units, canvas.reader),
    });
  },
};
