// How honest and how useful are the answers from few lives? Plays truths, lives and beliefs against each other and writes
// tests/score-lives.md. Run: npm run score:lives (about two minutes). Same seed, same table.
import { writeFileSync } from "node:fs";
import {
  adviseLife,
  fitWeibull,
  type LifePrior,
  type PartLife,
  priorFor,
  replacementAge,
  replacementCostRate,
  type Weibull,
  weibullQuantile,
} from "../../analytics/stats/index.ts";
import { drawLife, seeded } from "../stats/random.ts";

const seed = 20261125;
const plays = 400;
const costs = { costPlanned: 1, costFailure: 5 };
const counts = [0, 1, 3, 5, 10];
const beliefs = [
  { name: "right", scale: 1, shape: 1 },
  { name: "scale twice the truth", scale: 2, shape: 1 },
  { name: "scale half the truth", scale: 0.5, shape: 1 },
  { name: "shape twice the truth", scale: 1, shape: 2 },
  { name: "shape half the truth", scale: 1, shape: 0.5 },
];
const prior = priorFor("saw-blade");

interface Tally {
  covered: number;
  widths: number[];
  costs: number[];
  advised: number[];
  set: number[];
  runToFailure: number[];
  advice: Record<string, number>;
  mleCovered: number;
  mleFits: number;
  mleCosts: number[];
}

/** A normal number (Box & Muller 1958). */
function normal(random: () => number): number {
  return Math.sqrt(-2 * Math.log1p(-random())) * Math.cos(2 * Math.PI * random());
}

function truthFrom({ shape, scale }: LifePrior, random: () => number): Weibull {
  return {
    shape: shape.median * Math.exp(shape.logSd * normal(random)),
    scale: scale.median * Math.exp(scale.logSd * normal(random)),
  };
}

function play(belief: LifePrior, count: number, random: () => number, tally: Tally): void {
  const truth = truthFrom(prior, random);
  const lives: PartLife[] = Array.from({ length: count }, () => ({
    age: drawLife(truth.shape, truth.scale, random),
    end: "failed",
  }));
  const { life, interval } = adviseLife(lives, belief, costs);
  const b10 = weibullQuantile(0.1, truth);
  if (b10 >= life.b10.low && b10 <= life.b10.high) tally.covered++;
  tally.widths.push(life.b10.high / life.b10.low);
  const best = replacementAge({ ...truth, ...costs });
  const never = best.costRateRunToFailure;
  const costOf = (age: number | null) =>
    (age === null ? never : replacementCostRate(age, { ...truth, ...costs })) / best.costRate;
  // What a workshop would have set before any life was seen: the best age for the middle of its belief.
  const set = replacementAge({ shape: belief.shape.median, scale: belief.scale.median, ...costs }).age;
  tally.costs.push(costOf(interval.hours?.best ?? null));
  tally.set.push(costOf(set));
  tally.runToFailure.push(costOf(null));
  tally.advised.push(
    costOf(interval.advice === "replace" ? interval.hours!.best : interval.advice === "not-enough" ? set : null),
  );
  tally.advice[interval.advice] = (tally.advice[interval.advice] ?? 0) + 1;
  const fit = fitWeibull({ time: lives.map(({ age }) => age), status: lives.map(() => 1) }, { level: 0.8 });
  if ("insufficient" in fit) return;
  tally.mleFits++;
  if (b10 >= fit.b10Low! && b10 <= (fit.b10High ?? Number.POSITIVE_INFINITY)) tally.mleCovered++;
  tally.mleCosts.push(costOf(replacementAge({ shape: fit.shape, scale: fit.scale, ...costs }).age));
}

const median = (list: readonly number[]): number => [...list].sort((a, b) => a - b)[list.length >> 1] ?? Number.NaN;
const mean = (list: readonly number[]): number => list.reduce((sum, one) => sum + one, 0) / list.length;
const percent = (share: number): string => `${Math.round(100 * share)} %`;
const dearer = (list: readonly number[]): string =>
  list.length === 0 ? "–" : `+${Math.round(100 * (median(list) - 1))} / +${Math.round(100 * (mean(list) - 1))} %`;

const rows = beliefs.flatMap(({ name, scale, shape }) => {
  const belief: LifePrior = {
    ...prior,
    shape: { ...prior.shape, median: prior.shape.median * shape },
    scale: { ...prior.scale, median: prior.scale.median * scale },
  };
  return counts.map((count) => {
    const random = seeded(seed + count);
    const tally: Tally = {
      covered: 0,
      widths: [],
      costs: [],
      advised: [],
      set: [],
      runToFailure: [],
      advice: {},
      mleCovered: 0,
      mleFits: 0,
      mleCosts: [],
    };
    for (let k = 0; k < plays; k++) play(belief, count, random, tally);
    const advice = Object.entries(tally.advice)
      .sort(([, a], [, b]) => b - a)
      .map(([word, times]) => `${word} ${percent(times / plays)}`)
      .join(", ");
    const cells = [
      name,
      `${count}`,
      percent(tally.covered / plays),
      median(tally.widths).toFixed(1),
      tally.mleFits === 0 ? "–" : percent(tally.mleCovered / tally.mleFits),
      dearer(tally.costs),
      dearer(tally.advised),
      dearer(tally.set),
      dearer(tally.runToFailure),
      dearer(tally.mleCosts),
      advice,
    ];
    return `| ${cells.join(" | ")} |`;
  });
});

const text = `# Answers from few lives

Written by \`npm run score:lives\` (tests/score/lives.ts), seed ${seed}, ${plays} plays a row. Each play draws a true Weibull life
from the belief for a saw blade (shape ${prior.shape.median} within a factor e^${prior.shape.logSd}, scale ${prior.scale.median} h within a factor e^${prior.scale.logSd}), then so many lives that
failed, and asks for the posterior and the advice; a failure costs five times a planned change. A belief that is wrong by two
has its scale or shape at twice or half of what the truths are drawn from, its width unchanged.

- *B10 covered*: how often the 80 % interval of B10 held the truth (±4 % by chance), and its middle width as a factor; beside it
  the 80 % limits of maximum likelihood, where two lives or more allow a fit.
- *dearer than the best*: cost per hour of acting on the answer, over that of the best age for the true life; median / mean.
  *Posterior*: always replacing at the age of least expected cost. *Advice*: replacing only where advised, the set age while
  there is not enough, else running to failure. *Set*: the age that was set before any life was seen. *MLE*: the best age for
  the fitted life taken as true.

| belief | lives | B10 covered | width | by MLE | dearer: posterior | advice | set | run to failure | MLE | advice given |
|---|---|---|---|---|---|---|---|---|---|---|
${rows.join("\n")}
`;
writeFileSync(new URL("../score-lives.md", import.meta.url), text);
console.log(text);
