// The shop's tide: how busy all machines together are by the week, against their own means. Growth, season and the last weeks'
// drift as one Gaussian process (Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006, chapters 2 and 5), whose
// uncertainty ahead is wide where a year was never seen.

/** One week of the past: how busy it was against the mean, and the variance of that by luck alone. */
export interface TideWeek {
  /** Years since any fixed moment, of the week's middle. */
  year: number;
  ratio: number;
  variance: number;
  /** Share of it that belongs to the quiet days around the turn of the year. */
  turnOfYear: number;
}

export interface Tide {
  /** Smoothed, for each week of the past. */
  past: Float64Array;
  /** Expected, for each week ahead. */
  ahead: Float64Array;
  /** Standard deviation of the mean of the first 1, 2, … weeks ahead. */
  meanSd: Float64Array;
}

export interface TideShape {
  growthSd: number;
  seasonSd: number;
  /** Length scale of the season within the year; 1 lets about three swings a year through. */
  seasonLength: number;
  driftSd: number;
  driftWeeks: number;
  /** Of the days around the turn of the year, when many a club rests: by so much from year to year the same. */
  turnSd: number;
}

export const TIDE: TideShape = {
  growthSd: 0.1,
  seasonSd: 0.25,
  seasonLength: 1,
  driftSd: 0.1,
  driftWeeks: 8,
  turnSd: 0.3,
};

const LEVEL_SD = 0.3;
const WEEKS = 52.1775;
/** What every week has of its own beside luck: weather, a fair, a course. */
const OWN_SD = 0.05;

type Moment = Pick<TideWeek, "year" | "turnOfYear">;

function covariance(a: Moment, b: Moment, from: number, shape: TideShape): number {
  const gap = Math.abs(a.year - b.year);
  const swing = Math.sin(Math.PI * gap);
  return (
    LEVEL_SD ** 2 +
    shape.growthSd ** 2 * (a.year - from) * (b.year - from) +
    shape.seasonSd ** 2 * Math.exp((-2 * swing * swing) / shape.seasonLength ** 2) +
    shape.driftSd ** 2 * Math.exp((-gap * WEEKS) / shape.driftWeeks) +
    shape.turnSd ** 2 * a.turnOfYear * b.turnOfYear
  );
}

/** Of no week at all everything ahead is 1, as uncertain as before any log. */
export function tideOf(weeks: readonly TideWeek[], ahead: readonly Moment[], shape: TideShape = TIDE): Tide {
  const n = weeks.length;
  const m = ahead.length;
  const middle = n === 0 ? (ahead[0]?.year ?? 0) : weeks.reduce((sum, { year }) => sum + year, 0) / n;
  const root = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) root[i * n + j] = covariance(weeks[i]!, weeks[j]!, middle, shape);
    root[i * n + i]! += weeks[i]!.variance + OWN_SD ** 2;
  }
  choleskyInPlace(root, n);
  const residual = Float64Array.from(weeks, (week) => week.ratio - 1);
  const alpha = solveUpper(root, n, solveLower(root, n, residual));
  const at = (moment: Moment): Float64Array => Float64Array.from(weeks, (week) => covariance(week, moment, middle, shape));
  const dot = (a: Float64Array, b: Float64Array): number => {
    let sum = 0;
    for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
    return sum;
  };
  const past = Float64Array.from(weeks, (week) => 1 + dot(at(week), alpha));
  const reduced: Float64Array[] = [];
  const expected = new Float64Array(m);
  const meanSd = new Float64Array(m);
  let cumulated = 0;
  for (let j = 0; j < m; j++) {
    const cross = at(ahead[j]!);
    expected[j] = 1 + dot(cross, alpha);
    const mine = solveLower(root, n, cross);
    let withBefore = 0;
    for (let i = 0; i < j; i++) withBefore += covariance(ahead[i]!, ahead[j]!, middle, shape) - dot(reduced[i]!, mine);
    cumulated += 2 * withBefore + covariance(ahead[j]!, ahead[j]!, middle, shape) - dot(mine, mine) + OWN_SD ** 2;
    meanSd[j] = Math.sqrt(Math.max(0, cumulated)) / (j + 1);
    reduced.push(mine);
  }
  return { past: past.map(atLeast), ahead: expected.map(atLeast), meanSd };
}

/** However quiet a time is expected to be, somebody comes. */
const atLeast = (ratio: number): number => Math.max(0.1, ratio);

function choleskyInPlace(a: Float64Array, n: number): void {
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = a[i * n + j]!;
      for (let k = 0; k < j; k++) sum -= a[i * n + k]! * a[j * n + k]!;
      a[i * n + j] = i === j ? Math.sqrt(sum) : sum / a[j * n + j]!;
    }
  }
}

function solveLower(root: Float64Array, n: number, right: Float64Array): Float64Array {
  const x = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    let sum = right[i]!;
    for (let k = 0; k < i; k++) sum -= root[i * n + k]! * x[k]!;
    x[i] = sum / root[i * n + i]!;
  }
  return x;
}

function solveUpper(root: Float64Array, n: number, right: Float64Array): Float64Array {
  const x = new Float64Array(n);
  for (let i = n - 1; i >= 0; i--) {
    let sum = right[i]!;
    for (let k = i + 1; k < n; k++) sum -= root[k * n + i]! * x[k]!;
    x[i] = sum / root[i * n + i]!;
  }
  return x;
}
