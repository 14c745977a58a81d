// When each task falls due: twenty dots on a line of dates, each dot one chance in twenty. Shapes tell the state, as words do.
import * as Plot from "@observablehq/plot";
import { daysBetween, plusDays } from "../period/days.ts";
import type { Reader } from "../words/reader.ts";
import { common, dateOfDay, dayAxis, placer } from "./axes.ts";
import type { Chart, ChartSettings, DueWindow } from "./chart.ts";

type Settings = ChartSettings["dueDots"];

const row = 58;
const dotRadius = 3;
/** Beyond this share of all dots the line of dates isn't stretched for the last few. */
const shown = 0.92;

const symbols = { overdue: "triangle", now: "square", soon: "diamond", later: "circle", unknown: "circle" } as const;
const words = { overdue: "overdue", now: "now", soon: "soon", later: "later", unknown: "not known" } as const;

const known = (windows: readonly DueWindow[]) => windows.filter(({ dots }) => dots.some((day) => day !== null));

function windowWords({ state, early, median, late }: DueWindow, reader: Reader): string {
  const day = (text: string | null): string => (text === null ? "beyond the forecast" : reader.day(text));
  return `${words[state]}; even chance by ${day(median)}, one in ten by ${day(early)}, nine in ten by ${day(late)}`;
}

export const dueDots: Chart<DueWindow, Settings> = {
  table(windows, _settings, reader) {
    const rows = known(windows);
    if (rows.length === 0) return null;
    const day = (text: string | null): string => (text === null ? "beyond the forecast" : reader.day(text));
    return {
      head: ["Task", "State", "One chance in ten by", "Even chance by", "Nine in ten by"],
      body: rows.map(({ name, state, early, median, late }) => [name, words[state], day(early), day(median), day(late)]),
    };
  },
  draw(windows, { today }, canvas) {
    const { reader, width } = canvas;
    const rows = known(windows);
    const days = rows.flatMap(({ dots }) => dots.filter((dot): dot is string => dot !== null)).sort();
    const since = days[0]! < today ? days[0]! : today;
    const farthest = days[Math.min(days.length - 1, Math.floor(shown * days.length))]!;
    const until = plusDays(farthest > today ? farthest : today, Math.max(2, Math.round(daysBetween(since, farthest) * 0.03)));
    const margins = { left: 12, right: 18, top: 6, bottom: 34 };
    const height = margins.top + margins.bottom + rows.length * row;
    const across = width - margins.left - margins.right;
    const perDay = across / Math.max(1, daysBetween(since, until));
    const columnDays = Math.max(1, Math.ceil((2 * dotRadius + 1) / perDay));
    const placed = rows.flatMap(({ dots, state, name }, at) => {
      const stacks = new Map<number, number>();
      return dots.flatMap((dot) => {
        if (dot === null || dot > until) return [];
        const column = Math.floor(daysBetween(since, dot) / columnDays);
        const level = stacks.get(column) ?? 0;
        stacks.set(column, level + 1);
        const day = plusDays(since, Math.min(daysBetween(since, until), column * columnDays + Math.floor(columnDays / 2)));
        // Twenty on one day would climb into the row above: they stand closer there.
        const most = Math.max(1, Math.floor((row - 22) / (2 * dotRadius)));
        const step = Math.min(2 * dotRadius + 0.5, (row - 22) / Math.max(most, level + 1));
        return [{ x: dateOfDay(day), y: (at + 1) * row - 6 - Math.min(level * step, row - 24), state, name }];
      });
    });
    const bases = rows.map((window, at) => ({ ...window, y: (at + 1) * row }));
    const figure = Plot.plot({
      ...common(canvas),
      height,
      marginLeft: margins.left,
      marginRight: margins.right,
      marginTop: margins.top,
      marginBottom: margins.bottom,
      x: { type: "utc", domain: [dateOfDay(since), dateOfDay(until)] },
      y: { domain: [0, rows.length * row], range: [margins.top, height - margins.bottom], axis: null },
      marks: [
        dayAxis({ since, until }, canvas),
        Plot.ruleY(bases, { y: "y", stroke: "var(--rule)" }),
        Plot.ruleX([dateOfDay(today)], { stroke: "var(--accent)", strokeDasharray: "3 3" }),
        Plot.dot(placed, {
          x: "x",
          y: "y",
          r: dotRadius,
          symbol: (dot: { state: DueWindow["state"] }) => symbols[dot.state],
          fill: (dot: { state: DueWindow["state"] }) =>
            dot.state === "overdue" || dot.state === "now" ? "var(--accent)" : "var(--mark)",
        }),
        Plot.text(bases, {
          x: () => dateOfDay(since),
          y: ({ y }: { y: number }) => y - row + 12,
          text: ({ name, state }: DueWindow) => `${name} (${words[state]})`,
          textAnchor: "start",
          fill: "var(--ink)",
        }),
      ],
    }) as unknown as Plot.Plot & SVGElement;
    const x = placer(figure, "x");
    const y = placer(figure, "y");
    return {
      figure,
      stride: 1,
      marks: bases.map((window) => {
        const { median } = window;
        const at = median === null || median > until ? until : median < since ? since : median;
        return { x: x(dateOfDay(at)), y: y(window.y - 6), says: `${window.name}: ${windowWords(window, reader)}` };
      }),
    };
  },
};
