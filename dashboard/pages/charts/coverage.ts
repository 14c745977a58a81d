// Which station was heard on which day: a full square for events, a dot for signs of life alone, nothing for silence.
import * as Plot from "@observablehq/plot";
import { daysBetween, plusDays } from "../period/days.ts";
import { common, dateOfDay, dayAxis, placer } from "./axes.ts";
import type { Chart, ChartRows, ChartSettings } from "./chart.ts";

type Row = ChartRows["coverage"];
type Settings = ChartSettings["coverage"];

interface Cell {
  station: string;
  day: string;
  letter: string;
}

const lettersOf = (days: string, letter: string): number => [...days].filter((each) => each === letter).length;
const words: Record<string, string> = { e: "events", a: "signs of life, no event", "-": "nothing heard" };

export const coverage: Chart<Row, Settings> = {
  table(rows, _settings, reader) {
    if (rows.length === 0) return null;
    return {
      head: ["Station", "Days with events", "Only signs of life", "Silent days"],
      body: rows.map(({ station, days }) => [
        station,
        reader.count(lettersOf(days, "e")),
        reader.count(lettersOf(days, "a")),
        reader.count(lettersOf(days, "-")),
      ]),
    };
  },
  draw(rows, { shown }, canvas) {
    const { reader } = canvas;
    const length = daysBetween(shown.since, shown.until) + 1;
    const cells: Cell[] = rows.flatMap(({ station, days }) =>
      [...days].map((letter, i) => ({ station, day: plusDays(shown.since, i), letter })),
    );
    const rowHeight = rows.length > 40 ? 12 : 20;
    const figure = Plot.plot({
      ...common(canvas),
      height: 34 + rowHeight * rows.length,
      marginLeft: 56,
      marginRight: 8,
      marginTop: 4,
      marginBottom: 30,
      x: { type: "utc", domain: [dateOfDay(shown.since), dateOfDay(plusDays(shown.until, 1))] },
      y: { domain: rows.map(({ station }) => station), padding: 0.2 },
      marks: [
        dayAxis(shown, canvas),
        Plot.axisY({ tickSize: 0, label: null }),
        Plot.barX(
          cells.filter(({ letter }) => letter === "e"),
          {
            x1: (cell: Cell) => dateOfDay(cell.day),
            x2: (cell: Cell) => dateOfDay(plusDays(cell.day, 1)),
            y: "station",
            fill: "var(--mark)",
            insetLeft: length > 120 ? 0 : 0.5,
            insetRight: length > 120 ? 0 : 0.5,
          },
        ),
        Plot.dot(
          cells.filter(({ letter }) => letter === "a"),
          { x: (cell: Cell) => new Date(dateOfDay(cell.day).getTime() + 43_200_000), y: "station", r: 1.4, fill: "var(--mark)" },
        ),
      ],
    }) as unknown as Plot.Plot & SVGElement;
    const x = placer(figure, "x");
    const y = placer(figure, "y");
    return {
      figure,
      stride: length,
      marks: cells.map(({ station, day, letter }) => ({
        x: x(new Date(dateOfDay(day).getTime() + 43_200_000)),
        y: y(station),
        says: `station ${station}, ${reader.day(day)}: ${words[letter] ?? "nothing heard"}`,
      })),
    };
  },
};
