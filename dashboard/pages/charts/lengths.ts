// How long sessions last: how many in each step of length; hollow where the end was not seen.
import * as Plot from "@observablehq/plot";
import type { Session } from "../ask/answers.ts";
import { common, figureAxis, placer } from "./axes.ts";
import type { Chart } from "./chart.ts";

const edges = [0, 2, 5, 10, 15, 30, 45, 60, 90, 120, 240, 480, Number.POSITIVE_INFINITY];

interface Step {
  name: string;
  words: string;
  seen: number;
  unseen: number;
}

const minuteWords = (minutes: number): string => (minutes < 60 || minutes % 60 ? `${minutes} min` : `${minutes / 60} h`);

function stepsOf(sessions: readonly Session[]): Step[] {
  return edges.slice(0, -1).map((from, i) => {
    const until = edges[i + 1]!;
    const inside = sessions.filter(({ hours: { best } }) => best !== null && best * 60 >= from && best * 60 < until);
    const seen = inside.filter(({ end }) => end !== null).length;
    return {
      name: until === Number.POSITIVE_INFINITY ? `${minuteWords(from)}+` : `${minuteWords(until)}`,
      words:
        until === Number.POSITIVE_INFINITY
          ? `${minuteWords(from)} or longer`
          : `${from === 0 ? "under" : `${minuteWords(from)} to`} ${minuteWords(until)}`,
      seen,
      unseen: inside.length - seen,
    };
  });
}

export const lengths: Chart<Session, Record<string, never>> = {
  table(sessions, _settings, reader) {
    if (sessions.length === 0) return null;
    return {
      head: ["Length", "Sessions", "of them, end not seen"],
      body: stepsOf(sessions).map(({ words, seen, unseen }) => [words, reader.count(seen + unseen), reader.count(unseen)]),
    };
  },
  draw(sessions, _settings, canvas) {
    const { reader, width } = canvas;
    const steps = stepsOf(sessions);
    const figure = Plot.plot({
      ...common(canvas),
      height: 200,
      marginLeft: 40,
      marginRight: 8,
      marginTop: 12,
      marginBottom: width < 560 ? 52 : 30,
      x: { domain: steps.map(({ name }) => name), padding: 0.16 },
      y: { zero: true },
      marks: [
        ...figureAxis(reader),
        Plot.axisX({
          tickSize: 0,
          label: null,
          tickFormat: (name: string) => (name.endsWith("+") ? name : `< ${name}`),
          ...(width < 560 ? { tickRotate: -45 } : {}),
        }),
        Plot.barY(steps, { x: "name", y: "seen", fill: "var(--mark)" }),
        Plot.barY(
          steps.filter(({ unseen }) => unseen > 0),
          {
            x: "name",
            y1: "seen",
            y2: (step: Step) => step.seen + step.unseen,
            fill: "var(--paper)",
            stroke: "var(--mark)",
            strokeWidth: 1.25,
            inset: 0.6,
          },
        ),
        Plot.ruleY([0], { stroke: "var(--ink)" }),
      ],
    }) as unknown as Plot.Plot & SVGElement;
    const x = placer(figure, "x");
    const y = placer(figure, "y");
    return {
      figure,
      stride: 1,
      marks: steps.map((step) => ({
        x: x(step.name),
        y: y(step.seen + step.unseen),
        says: `${step.words}: ${reader.count(step.seen + step.unseen)} sessions${step.unseen ? `, ${reader.count(step.unseen)} of them with an end that was not seen` : ""}`,
      })),
    };
  },
};
