// Lives as a curve: the share still good at each age, as steps from the lives alone and as the fitted line with its limits.
import * as Plot from "@observablehq/plot";
import type { Reader } from "../words/reader.ts";
import { common, placer } from "./axes.ts";
import type { Chart, ChartSettings, LifePoint } from "./chart.ts";

type Settings = ChartSettings["lifeCurve"];

const ofKind = (points: readonly LifePoint[], kind: LifePoint["kind"]) =>
  points.filter((point) => point.kind === kind).sort((a, b) => a.time - b.time);

const shareWords = ({ low, best, high }: LifePoint["survival"], reader: Reader): string => {
  if (best === null) return "not known";
  const ends = low === null || high === null ? "" : ` (${reader.share(low)}–${reader.share(high)})`;
  return `${reader.share(best)}${ends}`;
};

export const lifeCurve: Chart<LifePoint, Settings> = {
  table(points, { unit }, reader) {
    const steps = ofKind(points, "step");
    if (steps.length === 0) return null;
    return {
      head: [`Age (${unit})`, "Still good, from the lives", "Limits"],
      body: steps.map(({ time, survival: { low, best, high } }) => [
        reader.figure(time, 4),
        best === null ? "not known" : reader.share(best),
        low === null || high === null ? "–" : `${reader.share(low)}–${reader.share(high)}`,
      ]),
    };
  },
  draw(points, { unit }, canvas) {
    const { reader } = canvas;
    const steps = ofKind(points, "step");
    const fit = ofKind(points, "fit");
    const longest = Math.max(...points.map(({ time }) => time));
    const start: LifePoint = { kind: "step", time: 0, survival: { low: 1, best: 1, high: 1 } };
    const last = steps.at(-1);
    const stair = [start, ...steps, ...(last ? [{ ...last, time: longest }] : [])];
    const figure = Plot.plot({
      ...common(canvas),
      height: 280,
      marginLeft: 48,
      marginRight: 14,
      marginTop: 12,
      marginBottom: 28,
      x: { domain: [0, longest] },
      y: { domain: [0, 1] },
      marks: [
        Plot.gridY({ ticks: 4, stroke: "var(--hair)", strokeOpacity: 1 }),
        Plot.axisY({
          ticks: 4,
          tickSize: 0,
          tickFormat: (value: number) => reader.share(value),
          label: null,
        }),
        Plot.axisX({
          ticks: 6,
          tickSize: 4,
          tickFormat: (value: number) => reader.figure(value),
          label: null,
        }),
        Plot.areaY(
          stair.filter(({ survival: { low, high } }) => low !== null && high !== null),
          {
            x: "time",
            y1: (point: LifePoint) => point.survival.low,
            y2: (point: LifePoint) => point.survival.high,
            fill: "var(--mark-soft)",
            fillOpacity: 0.45,
            curve: "step-after",
          },
        ),
        Plot.line(stair, {
          x: "time",
          y: (point: LifePoint) => point.survival.best,
          stroke: "var(--mark)",
          strokeWidth: 1.75,
          curve: "step-after",
        }),
        Plot.line(fit, {
          x: "time",
          y: (point: LifePoint) => point.survival.best,
          stroke: "var(--accent)",
          strokeWidth: 2.25,
          strokeDasharray: "7 3",
        }),
        ...(["low", "high"] as const).map((end) =>
          Plot.line(
            fit.filter(({ survival }) => survival[end] !== null),
            { x: "time", y: (point: LifePoint) => point.survival[end], stroke: "var(--accent)", strokeWidth: 0.9 },
          ),
        ),
        Plot.ruleY([0], { stroke: "var(--ink)" }),
      ],
    }) as unknown as Plot.Plot & SVGElement;
    const x = placer(figure, "x");
    const y = placer(figure, "y");
    return {
      figure,
      stride: 1,
      marks: steps.map((point) => ({
        x: x(point.time),
        y: y(point.survival.best ?? 0),
        says: `at ${reader.figure(point.time, 4)} ${unit}: ${shareWords(point.survival, reader)} still good`,
      })),
    };
  },
};
