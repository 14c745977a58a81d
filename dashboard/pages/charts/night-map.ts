// The days down and the hours across: when the doors were open, shaded, and the stretches worth a look, drawn over it.
import * as Plot from "@observablehq/plot";
import { clockWords, ruleName } from "../words/rules.ts";
import { common, placer } from "./axes.ts";
import type { Chart, NightDay } from "./chart.ts";

interface Part {
  day: string;
  from: number;
  until: number;
}

/** Stretches of minutes would be thinner than a line. */
const LEAST_HOURS = 0.25;

const wide = <One extends Part>({ from, until, ...one }: One) => {
  const end = Math.min(24, Math.max(until, from + LEAST_HOURS));
  return { ...one, from: Math.min(from, end - LEAST_HOURS), until: end };
};

const minutesOf = ({ from, until }: { from: number; until: number }) => (until - from) * 60;
const spanWords = ({ from, until }: { from: number; until: number }) => `${clockWords(from)}–${clockWords(until)}`;

export const nightMap: Chart<NightDay, Record<string, never>> = {
  table(days, _settings, reader) {
    if (days.length === 0) return null;
    const with_ = days.filter(({ stretches }) => stretches.length > 0);
    return {
      head: ["Day", "Doors open", "Stretches", "Minutes"],
      body: (with_.length > 0 ? with_ : days.slice(0, 1)).map(({ day, open, stretches }) => [
        reader.day(day),
        open.map(spanWords).join(", ") || "closed",
        stretches.map((one) => `${ruleName(one.rule)} ${spanWords(one)}`).join("; ") || "none in the days shown",
        reader.count(Math.round(stretches.reduce((sum, one) => sum + minutesOf(one), 0))),
      ]),
    };
  },
  draw(days, _settings, canvas) {
    const { reader, width } = canvas;
    const rowHeight = Math.max(5, Math.min(16, 700 / Math.max(1, days.length)));
    const every = Math.ceil(15 / rowHeight);
    const open = days.flatMap(({ day, open: parts }) => parts.map((part) => ({ ...part, day })));
    const stretches = days.flatMap(({ day, stretches: parts }) => parts.map((part) => wide({ ...part, day })));
    const of = (...rules: string[]) => stretches.filter(({ rule }) => rules.includes(rule));
    const bar = { x1: "from", x2: "until", y: "day" };
    const figure = Plot.plot({
      ...common(canvas),
      height: 30 + rowHeight * days.length,
      marginLeft: width < 480 ? 58 : 84,
      marginRight: 8,
      marginTop: 22,
      marginBottom: 6,
      x: { domain: [0, 24] },
      y: { domain: days.map(({ day }) => day), padding: 0.12 },
      marks: [
        Plot.barX(
          open.filter(({ state }) => state !== "staffed"),
          { ...bar, fill: "var(--hair)" },
        ),
        Plot.barX(
          open.filter(({ state }) => state === "staffed"),
          { ...bar, fill: "var(--rule)", fillOpacity: 0.45 },
        ),
        Plot.axisX({
          anchor: "top",
          ticks: width < 480 ? [0, 6, 12, 18, 24] : [0, 3, 6, 9, 12, 15, 18, 21, 24],
          tickSize: 3,
          label: null,
          tickFormat: (hour: number) => String(hour).padStart(2, "0"),
        }),
        Plot.axisY({
          tickSize: 0,
          label: null,
          ticks: days.filter((_, i) => i % every === 0).map(({ day }) => day),
          tickFormat: (day: string) => reader.shortDay(day),
        }),
        Plot.barX(of("left-in"), { ...bar, fill: "var(--paper)", stroke: "var(--mark)", strokeWidth: 1.25, inset: 0.6 }),
        Plot.barX(of("closed-use"), { ...bar, fill: "var(--mark)" }),
        Plot.barX(of("alone-hazard"), { ...bar, fill: "var(--paper)", stroke: "var(--accent)", strokeWidth: 1.5, inset: 0.6 }),
        Plot.barX(of("alone-closed"), { ...bar, fill: "var(--accent)" }),
      ],
    }) as unknown as Plot.Plot & SVGElement;
    const x = placer(figure, "x");
    const y = placer(figure, "y");
    return {
      figure,
      stride: 1,
      marks: days.map(({ day, open: parts, stretches: found }) => ({
        x: x(found[0] ? (found[0].from + found[0].until) / 2 : parts[0] ? parts[0].from : 0),
        y: y(day),
        says: `${reader.day(day)}: ${
          parts.length > 0 ? `open ${parts.map(spanWords).join(", ")}` : "closed all day"
        }; ${found.length > 0 ? found.map((one) => `${ruleName(one.rule)}, ${spanWords(one)}`).join("; ") : "nothing to look at"}`,
      })),
    };
  },
};
