// The wear line of one task: use since it was last done, the interval across it, and where the forecast says that they meet.
import * as Plot from "@observablehq/plot";
import { common, dateOfDay, dayAxis, figureAxis, placer } from "./axes.ts";
import type { Chart, ChartSettings, WearPoint } from "./chart.ts";

type Settings = ChartSettings["wearLine"];

const ofKind = (points: readonly WearPoint[], kind: WearPoint["kind"]) => points.filter((point) => point.kind === kind);

export const wearLine: Chart<WearPoint, Settings> = {
  table(points, { unit, interval }, reader) {
    const used = points.filter(({ kind }) => kind !== "dot");
    if (ofKind(points, "use").length === 0) return null;
    return {
      head: ["Day", `Used (${unit})`, `Interval (${unit})`, "What"],
      body: [
        ...used.map(({ day, used: amount, kind }) => [
          reader.day(day),
          reader.hours(amount),
          reader.hours(interval),
          kind === "done" ? "done, begins anew" : "",
        ]),
        ...ofKind(points, "dot").map(({ day }) => [
          reader.day(day),
          reader.hours(interval),
          reader.hours(interval),
          "one chance in twenty",
        ]),
      ],
    };
  },
  draw(points, { today, unit, interval }, canvas) {
    const { reader } = canvas;
    const line = points.filter(({ kind }) => kind !== "dot");
    const use = ofKind(points, "use");
    const done = ofKind(points, "done");
    const dots = ofKind(points, "dot");
    const days = points.map(({ day }) => day).sort();
    const since = days[0]!;
    const until = days.at(-1)! > today ? days.at(-1)! : today;
    const now = use.at(-1)!;
    const most = Math.max(interval, ...points.map(({ used }) => used));
    const fan = dots.flatMap(({ day }, i) => [
      { day: now.day, used: now.used, i },
      { day, used: interval, i },
    ]);
    const figure = Plot.plot({
      ...common(canvas),
      height: 260,
      marginLeft: 44,
      marginRight: 16,
      marginTop: 14,
      marginBottom: 34,
      x: { type: "utc", domain: [dateOfDay(since), dateOfDay(until)] },
      y: { domain: [0, most * 1.06] },
      marks: [
        ...figureAxis(reader),
        dayAxis({ since, until }, canvas),
        Plot.ruleY([interval], { stroke: "var(--accent)", strokeWidth: 1.5, strokeDasharray: "7 3" }),
        Plot.ruleX([dateOfDay(today)], { stroke: "var(--accent)", strokeDasharray: "3 3" }),
        Plot.line(fan, {
          x: ({ day }: { day: string }) => dateOfDay(day),
          y: "used",
          z: "i",
          stroke: "var(--mark-soft)",
          strokeWidth: 0.7,
        }),
        Plot.line(line, {
          x: ({ day }: WearPoint) => dateOfDay(day),
          y: "used",
          stroke: "var(--mark)",
          strokeWidth: 2,
        }),
        Plot.dot(dots, { x: ({ day }: WearPoint) => dateOfDay(day), y: interval, r: 3, fill: "var(--mark)" }),
        Plot.dot(done, {
          x: ({ day }: WearPoint) => dateOfDay(day),
          y: 0,
          r: 4.5,
          symbol: "triangle",
          fill: "var(--paper)",
          stroke: "var(--mark)",
          strokeWidth: 1.5,
        }),
        Plot.ruleY([0], { stroke: "var(--ink)" }),
      ],
    }) as unknown as Plot.Plot & SVGElement;
    const x = placer(figure, "x");
    const y = placer(figure, "y");
    return {
      figure,
      stride: 1,
      marks: [
        ...line.map(({ day, used, kind }) => ({
          x: x(dateOfDay(day)),
          y: y(used),
          says:
            kind === "done"
              ? `${reader.day(day)}: done, begins anew`
              : `${reader.day(day)}: ${reader.hours(used)} of ${reader.hours(interval)} ${unit}`,
        })),
        ...dots.map(({ day }) => ({
          x: x(dateOfDay(day)),
          y: y(interval),
          says: `${reader.day(day)}: used up by then, one chance in twenty`,
        })),
      ],
    };
  },
};
