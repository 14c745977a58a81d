// Axes and measures that charts share, so that they look like one hand drew them.
import * as Plot from "@observablehq/plot";
import { daysBetween, firstOfMonth, mondayOf, plusDays } from "../period/days.ts";
import type { Days } from "../period/period.ts";
import type { Reader } from "../words/reader.ts";
import type { Canvas } from "./chart.ts";

export const dateOfDay = (day: string): Date => new Date(`${day}T00:00:00Z`);
const dayOfDate = (date: Date): string => date.toISOString().slice(0, 10);

export const common = ({ width, document }: Canvas) => ({ width, document, className: "plot" });

/** Ticks at Mondays, months, quarters or years, as many as the width bears. */
export function dayTicks({ since, until }: Days, width: number): Date[] {
  const room = Math.max(2, Math.floor(width / 72));
  const length = daysBetween(since, until) + 1;
  const every = (step: (day: string) => string, first: string): Date[] => {
    const ticks: Date[] = [];
    for (let day = first; day <= until; day = step(day)) if (day >= since) ticks.push(dateOfDay(day));
    return ticks;
  };
  for (const weeks of [1, 2])
    if (length / (7 * weeks) <= room) return every((day) => plusDays(day, 7 * weeks), mondayOf(plusDays(since, 6)));
  for (const months of [1, 2, 3, 6, 12]) {
    if (length / (30.4 * months) > room && months < 12) continue;
    const first = firstOfMonth(since, -((Number(since.slice(5, 7)) - 1) % months));
    return every((day) => firstOfMonth(day, months), first);
  }
  return [];
}

export function dayAxis(days: Days, canvas: Canvas): Plot.Markish {
  const months = daysBetween(days.since, days.until) > 92;
  const format = new Intl.DateTimeFormat(canvas.reader.locale, {
    timeZone: "UTC",
    month: "short",
    ...(months ? {} : { day: "numeric" }),
  });
  const year = new Intl.DateTimeFormat(canvas.reader.locale, { timeZone: "UTC", year: "numeric" });
  const ticks = dayTicks(days, canvas.width);
  return Plot.axisX({
    ticks,
    tickSize: 4,
    tickFormat: (date: Date) => {
      const isNewYear = months && (date.getTime() === ticks[0]?.getTime() || dayOfDate(date).slice(5) === "01-01");
      return isNewYear ? `${format.format(date)}\n${year.format(date)}` : format.format(date);
    },
    label: null,
  });
}

/** Figures up the left side, in the reader's way of writing, with hair lines across. The unit stands in the caption. */
export const figureAxis = (reader: Reader, ticks = 4): Plot.Markish[] => [
  Plot.gridY({ ticks, stroke: "var(--hair)", strokeOpacity: 1 }),
  Plot.axisY({ ticks, tickSize: 0, tickFormat: (value: number) => reader.figure(value), label: null }),
];

/** Where a value stands on one of a figure's scales, in the figure's own units. */
export function placer(figure: Plot.Plot, name: "x" | "y"): (value: unknown) => number {
  const scale = figure.scale(name);
  if (!scale) throw new Error(`the figure has no scale ${name}`);
  return (value) => scale.apply(value) + (scale.bandwidth ?? 0) / 2;
}
