// The same questions as R answered them: tests/reference/r-answers.json, made by `npm run reference` from fits.R beside it.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { calc, fitWeibull, type Lives, posteriorLife, priorFor, weibullCurve } from "../../analytics/stats/index.ts";
import { costAt, type Way } from "../../analytics/stats/two-ends.ts";
import { isInsufficient } from "../../shared/errors.ts";

interface Case {
  id: string;
  method: string;
  call: string;
  input: unknown;
  answer: Record<string, unknown>;
}

const kept: { r: string; survival: string; date: string; cases: Case[] } = JSON.parse(
  readFileSync(new URL("../reference/r-answers.json", import.meta.url), "utf8"),
);

/** How far R's own answer may be from the truth: its climbers stop early, its sums don't. */
function slackOf({ call }: Case): number {
  if (call.startsWith("optim of")) return 2e-4;
  if (call.startsWith("optimize") || call.startsWith("survreg")) return 1e-6;
  // Ours integrates over a few dozen points.
  if (call.startsWith("integrate of dweibull")) return 1e-4;
  // Another grid, and quantiles between its cells.
  if (call.startsWith("outer")) return 3e-3;
  return 1e-9;
}

function ourAnswer({ method, input }: Case): Record<string, unknown> {
  if (method === "two-ends") {
    const { age, costPlanned, costFailure, ...way } = input as Way & { age: number; costPlanned: number; costFailure: number };
    return { cost: costAt([way], age, costPlanned, costFailure) };
  }
  if (method === "weibull-curve") {
    const { time, status, count } = input as { time: number[]; status: number[]; count: number };
    const fit = fitWeibull({ time, status });
    if (isInsufficient(fit)) throw new Error("insufficient");
    return { ...weibullCurve(fit, count) };
  }
  if (method !== "posterior") return calc(method, input) as Record<string, unknown>;
  const belief = { ...priorFor("saw-blade"), shape: { median: 2.5, logSd: 0.4 }, scale: { median: 40, logSd: 1 } };
  const { shape, scale, b10 } = posteriorLife(input as Lives, belief);
  return { shape, scale, b10 };
}

const figuresOf = (answer: unknown): unknown[] =>
  Array.isArray(answer)
    ? answer.flatMap(figuresOf)
    : typeof answer === "object" && answer !== null
      ? Object.values(answer).flatMap(figuresOf)
      : [answer];

/** Our rows at R's times: its repair curve also has rows without an event, which fits.R leaves out. */
const columns = (answer: Record<string, unknown>, names: string[]): unknown[] => names.flatMap((name) => figuresOf(answer[name]));

describe(`answers of ${kept.r}, survival ${kept.survival}, ${kept.date}`, () => {
  for (const one of kept.cases) {
    test(`${one.id}: ${one.call}`, () => {
      const names = Object.keys(one.answer);
      const ours = columns(ourAnswer(one), names);
      const theirs = columns(one.answer, names);
      expect(ours).toHaveLength(theirs.length);
      const slack = slackOf(one);
      const off = theirs.flatMap((figure, i) => {
        const mine = ours[i];
        if (figure === null || mine === null) return figure === mine ? [] : [`${i}: ${mine}, R ${figure}`];
        return Math.abs(Number(mine) - Number(figure)) <= Math.max(slack * Math.abs(Number(figure)), 1e-12)
          ? []
          : [`${i}: ${mine}, R ${figure}`];
      });
      expect(off).toEqual([]);
    });
  }
});
