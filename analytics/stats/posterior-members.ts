// Lives of several of a kind that needn't last alike: machines of a group, or the first, second, third edge of a blade.
import { ensure, ensureShare } from "./checks.ts";
import { ensurePositiveAges, failureCount, type Lives, lifeCount, livesFrom } from "./lives.ts";
import { gridOf, type LifeGrid, type LifeRanges, logLikelihoodOnGrid, rangesOf, weightsOf } from "./posterior-life.ts";
import type { LifePrior } from "./priors.ts";

export interface MemberPosterior extends LifeRanges {
  name: string;
  lives: number;
  failures: number;
  /** Share of the answer that comes from the group rather than from its own lives: 1 without failures, towards 0 with many. */
  shrinkage: number;
  grid: LifeGrid;
}

export interface GroupPosterior {
  /** The group's own middle: what a new member would be expected to do. */
  group: LifeRanges & { grid: LifeGrid };
  members: MemberPosterior[];
  /** Standard deviation of ln scale between members, posterior mean over the values tried. */
  between: number;
}

// How far members may lie apart: from 10 % to a factor of 2.2, each as likely before the lives are seen.
const spreads = [0.1, 0.2, 0.4, 0.8];
const shapeCells = 41;
const scaleCells = 161;

/**
 * One shape for all, a scale for each: ln scale of a member = that of the group + a normal deviation, whose standard deviation
 * is averaged over 0.1, 0.2, 0.4 and 0.8 by how well each explains the lives. Members with few lives lean on the group, with
 * many on their own; `shrinkage` = between⁻² ÷ (between⁻² + failures × shape²) says how much (the last term is what the
 * failures tell of ln scale). Several edges of a blade are members too: the second need not last like the first.
 * Ranges are medians and `level` (default 0.8) intervals. Errors as for `fitWeibull`; needs one member or more, lives or none.
 * Gelman et al. 2013, Bayesian Data Analysis, ch. 5; Meeker & Escobar 1998, ch. 14.
 */
export function posteriorMembers(
  members: readonly { name: string; lives: Lives }[],
  prior: LifePrior,
  { level = 0.8 }: { level?: number | undefined } = {},
): GroupPosterior {
  ensureShare("level", level);
  ensure(members.length > 0, "members", members.length, "one member or more");
  for (const { lives } of members) ensurePositiveAges(lives);
  const known = members.map(({ lives }) => livesFrom(lives));
  // Wide enough for the group and for every member whose own lives could carry it away from the group.
  const grids = [known.flat(), ...known.filter((lives) => failureCount(lives) >= 5)].map((lives) => gridOf(lives, prior));
  const logShape = spanning(
    grids.map((grid) => grid.logShape),
    shapeCells,
    0,
  );
  const logScale = spanning(
    grids.map((grid) => grid.logScale),
    scaleCells,
    2.5 * spreads.at(-1)!,
  );
  const likelihoods = known.map((lives) => scaledLikelihood(lives, logShape, logScale));
  const belief = new Float64Array(shapeCells * scaleCells);
  for (let i = 0; i < shapeCells; i++) {
    const ofShape = ((logShape[i]! - Math.log(prior.shape.median)) / prior.shape.logSd) ** 2;
    for (let j = 0; j < scaleCells; j++) {
      belief[i * scaleCells + j] = -(ofShape + ((logScale[j]! - Math.log(prior.scale.median)) / prior.scale.logSd) ** 2) / 2;
    }
  }

  const cells = shapeCells * scaleCells;
  const runs = spreads.map((spread) => {
    const kernel = normalKernel(spread, logScale[1]! - logScale[0]!);
    return { kernel, smooth: likelihoods.map((likelihood) => smoothed(likelihood, kernel).map(Math.log)) };
  });
  /** What the belief and all members but one say of the group's middle, run by run, each on one common scale. */
  const heightsWithout = (skipped: number): Float64Array[] => {
    const heights = runs.map(({ smooth }) => {
      const height = belief.slice();
      for (const [k, one] of smooth.entries()) if (k !== skipped) for (let c = 0; c < cells; c++) height[c]! += one[c]!;
      return height;
    });
    const top = heights.reduce((most, height) => Math.max(most, highestOf(height)), Number.NEGATIVE_INFINITY);
    return heights.map((height) => height.map((one) => Math.exp(one - top)));
  };
  const ofGroup = new Float64Array(cells);
  let total = 0;
  let squareSpread = 0;
  for (const [run, weights] of heightsWithout(-1).entries()) {
    const evidence = weights.reduce((sum, one) => sum + one, 0);
    total += evidence;
    squareSpread += evidence * spreads[run]! ** 2;
    for (let c = 0; c < cells; c++) ofGroup[c]! += weights[c]!;
  }
  const ofMember = likelihoods.map((likelihood, k) => {
    const weights = new Float64Array(cells);
    for (const [run, others] of heightsWithout(k).entries()) {
      // The group's middle as all the others see it, carried over to this member, times what its own lives say.
      const reached = smoothed(others, runs[run]!.kernel);
      for (let c = 0; c < cells; c++) weights[c]! += reached[c]! * likelihood[c]!;
    }
    return weights;
  });
  const between = Math.sqrt(squareSpread / total);
  const gridFrom = (weights: Float64Array): LifeGrid => ({
    logShape,
    logScale,
    ...weightsOf(weights.map(Math.log), Math.log(highestOf(weights))),
  });
  const group = gridFrom(ofGroup);
  const groupRanges = rangesOf(group, level);
  return {
    group: { ...groupRanges, grid: group },
    members: members.map(({ name }, k) => {
      const grid = gridFrom(ofMember[k]!);
      const ranges = rangesOf(grid, level);
      const failures = failureCount(known[k]!);
      const pull = 1 / between ** 2;
      return {
        name,
        lives: lifeCount(known[k]!),
        failures,
        ...ranges,
        shrinkage: pull / (pull + failures * ranges.shape.best ** 2),
        grid,
      };
    }),
    between,
  };
}

/** Even nodes over all the given ones and `margin` beyond. */
function spanning(nodes: readonly Float64Array[], count: number, margin: number): Float64Array {
  const from = Math.min(...nodes.map((one) => one[0]!)) - margin;
  const until = Math.max(...nodes.map((one) => one.at(-1)!)) + margin;
  return Float64Array.from({ length: count }, (_, i) => from + ((until - from) * i) / (count - 1));
}

/** The likelihood with its highest value set to 1. */
function scaledLikelihood(lives: ReturnType<typeof livesFrom>, logShape: Float64Array, logScale: Float64Array): Float64Array {
  const height = new Float64Array(logShape.length * logScale.length);
  logLikelihoodOnGrid(lives)(logShape, logScale, height);
  const top = highestOf(height);
  return height.map((one) => Math.exp(one - top));
}

const highestOf = (list: Float64Array): number => list.reduce((most, one) => Math.max(most, one), Number.NEGATIVE_INFINITY);

function normalKernel(spread: number, step: number): Float64Array {
  const reach = Math.min(Math.ceil((5 * spread) / step), scaleCells - 1);
  const kernel = Float64Array.from({ length: 2 * reach + 1 }, (_, i) =>
    Math.exp(-(((i - reach) * step) ** 2) / (2 * spread * spread)),
  );
  const total = kernel.reduce((sum, one) => sum + one, 0);
  return kernel.map((one) => one / total);
}

/** Every row of scales convolved with the kernel. */
function smoothed(rows: Float64Array, kernel: Float64Array): Float64Array {
  const reach = (kernel.length - 1) / 2;
  const into = new Float64Array(rows.length);
  for (let row = 0; row < rows.length; row += scaleCells) {
    for (let j = 0; j < scaleCells; j++) {
      let sum = 0;
      const first = Math.max(0, j - reach);
      const last = Math.min(scaleCells - 1, j + reach);
      for (let from = first; from <= last; from++) sum += rows[row + from]! * kernel[from - j + reach]!;
      into[row + j] = sum;
    }
  }
  return into;
}
