// From days of the past to what each machine's use will come to: exposure, the shop's tide, each machine's level. Pure.
import { type Days, exposures } from "./exposure.ts";
import { type LevelAsked, type LevelWeek, levelOf } from "./level.ts";
import { TIDE, type TideShape, type TideWeek, tideOf } from "./season.ts";

/** One machine's past in one unit. */
export interface PastUse {
  id: string;
  group: string;
  /** Whether it tells how busy the shop is: what others drive would count them twice. */
  isOfTide: boolean;
  /** Use of each day before `today`; later entries are not read. */
  use: Float64Array;
  /** How much of its unit one start brings, on average: the natural size of its luck. */
  perStart: number;
  from: number;
  until: number;
  /** Share of each day that it is out of order, as known now; of `days.count` days. */
  out: Float64Array;
}

export interface Past {
  days: Days;
  /** Index of the day of the as-of time: days before it are history. */
  today: number;
  /** Years of day 0's midnight since any fixed first of January, for the season. */
  firstYear: number;
}

/** What is expected of a machine ahead, and how uncertain that is. */
export interface Course {
  /** Expected use from today's first midnight to the end of today, tomorrow, …: never falling. */
  expected: Float64Array;
  /** Relative standard deviation of the expected sum to the end of each day: of its level, its drift and the shop's tide. */
  levelSd: Float64Array;
  /** Variance of the use itself for each unit of its mean. */
  fano: number;
}

export interface FitOptions {
  /** Least whole weeks of history. */
  fewestWeeks: number;
  mostWeeks: number;
  tide: TideShape;
  drifts: readonly number[];
}

export const FIT: FitOptions = { fewestWeeks: 2, mostWeeks: 156, tide: TIDE, drifts: [0, 0.0003, 0.001, 0.003, 0.01] };

const DAYS_A_YEAR = 365.2425;
const ROUNDS = 3;
/** Weeks that the shop's own scatter counts as beside a machine's. */
const FANO_WEEKS = 10;
const GROUP_SPREAD = 0.8;
const FIRST_FANO = 2.5;

/** A course for each machine, in their order; null where the whole shop's past is too short to go by. */
export function coursesOf(
  machines: readonly PastUse[],
  { days, today, firstYear }: Past,
  options: FitOptions = FIT,
): Course[] | null {
  const weeks = Math.min(options.mostWeeks, Math.floor(today / 7));
  if (weeks < options.fewestWeeks) return null;
  const first = today - 7 * weeks;
  const invited = exposures(machines, days, today);
  const byWeek = machines.map((machine, i) => weeksOf(machine, invited[i]!, first, weeks));
  const { levels, ratios, variances, fanos } = sharedTide(machines, byWeek, weeks);
  const yearOf = (day: number): number => firstYear + (day + 0.5) / DAYS_A_YEAR;
  const momentOf = (from: number) => ({ year: yearOf(from + 3), turnOfYear: turnShare(from, yearOf) });
  const past = Array.from(
    { length: weeks },
    (_, k): TideWeek => ({ ...momentOf(first + 7 * k), ratio: ratios[k]!, variance: variances[k]! }),
  ).filter(({ variance }) => Number.isFinite(variance));
  const weeksAhead = Math.ceil((days.count - today) / 7);
  const tide = tideOf(
    past,
    Array.from({ length: weeksAhead }, (_, k) => momentOf(today + 7 * k)),
    options.tide,
  );
  // Weeks that nobody could tell anything of stand as they are expected to be.
  const smooth = new Float64Array(weeks).fill(1);
  let told = 0;
  for (let k = 0; k < weeks; k++) if (Number.isFinite(variances[k]!)) smooth[k] = tide.past[told++]!;

  const deflated = byWeek.map((own) => own.map(({ use, invited: x }, k): LevelWeek => ({ use, invited: x * smooth[k]! })));
  const priors = machines.map((machine, i) => priorFor(machine, i, machines, deflated, levels));
  const asked = (i: number, drift: number): LevelAsked => ({
    priorMean: priors[i]!,
    priorSpread: GROUP_SPREAD,
    drift,
    fano: fanos[i]!,
  });
  const drift = likeliest(options.drifts, (one) =>
    deflated.reduce((sum, own, i) => sum + levelOf(own, asked(i, one)).logLikelihood, 0),
  );
  const scatter = fanosFrom(
    machines,
    deflated.map((own, i) => {
      const { excess, expected } = levelOf(own, asked(i, drift));
      return { excess, expected, weeks: own.filter(({ invited: x }) => x > 0).length };
    }),
  );
  return machines.map((_, i) => {
    const level = levelOf(deflated[i]!, { ...asked(i, drift), fano: scatter[i]! });
    return courseFrom(invited[i]!, tide, level, drift, scatter[i]!, today);
  });
}

function weeksOf(machine: PastUse, invited: Float64Array, first: number, weeks: number): LevelWeek[] {
  return Array.from({ length: weeks }, (_, k) => {
    let use = 0;
    let sum = 0;
    for (let day = first + 7 * k; day < first + 7 * k + 7; day++) {
      if (day < machine.from || day >= machine.until) continue;
      use += machine.use[day]!;
      sum += invited[day]!;
    }
    return { use, invited: sum };
  });
}

/** Means of the machines and how busy each week was against them, found in turns; machines count by how little luck they have. */
function sharedTide(machines: readonly PastUse[], byWeek: readonly LevelWeek[][], weeks: number) {
  const levels = new Float64Array(machines.length);
  const tells = machines.some(({ isOfTide }) => isOfTide) ? machines.map(({ isOfTide }) => isOfTide) : machines.map(() => true);
  const ratios = new Float64Array(weeks).fill(1);
  const variances = new Float64Array(weeks).fill(Number.POSITIVE_INFINITY);
  let fanos: Float64Array = Float64Array.from(machines, ({ perStart }) => FIRST_FANO * perStart);
  for (let round = 0; round < ROUNDS; round++) {
    byWeek.forEach((own, i) => {
      let use = 0;
      let sum = 0;
      own.forEach(({ use: y, invited }, k) => {
        use += y;
        sum += invited * ratios[k]!;
      });
      levels[i] = sum > 0 ? use / sum : 0;
    });
    for (let k = 0; k < weeks; k++) {
      let use = 0;
      let expected = 0;
      byWeek.forEach((own, i) => {
        if (fanos[i]! <= 0 || !tells[i]) return;
        use += own[k]!.use / fanos[i]!;
        expected += (levels[i]! * own[k]!.invited) / fanos[i]!;
      });
      ratios[k] = expected > 0 ? use / expected : 1;
      variances[k] = expected > 0 ? 1 / expected : Number.POSITIVE_INFINITY;
    }
    fanos = fanosFrom(
      machines,
      byWeek.map((own, i) => {
        let excess = 0;
        let expected = 0;
        own.forEach(({ use, invited }, k) => {
          const mean = levels[i]! * invited * ratios[k]!;
          excess += (use - mean) ** 2;
          expected += mean;
        });
        return { excess, expected, weeks: own.filter(({ invited }) => invited > 0).length };
      }),
    );
  }
  return { levels, ratios, variances, fanos };
}

/** Scatter of each machine, drawn towards the shop's by the size of one start. */
function fanosFrom(
  machines: readonly PastUse[],
  found: readonly { excess: number; expected: number; weeks: number }[],
): Float64Array {
  let sum = 0;
  let count = 0;
  found.forEach(({ excess, expected, weeks }, i) => {
    const { perStart } = machines[i]!;
    if (expected <= 0 || perStart <= 0) return;
    sum += (weeks * Math.max(0, excess)) / expected / perStart;
    count += weeks;
  });
  const shop = count === 0 ? FIRST_FANO : (sum + FIRST_FANO * FANO_WEEKS) / (count + FANO_WEEKS);
  return Float64Array.from(found, ({ excess, expected, weeks }, i) => {
    const prior = shop * machines[i]!.perStart;
    const own = expected > 0 ? Math.max(0, excess) / expected : prior;
    return (FANO_WEEKS * prior + weeks * own) / (FANO_WEEKS + weeks);
  });
}

/** What the others of its group come to, or the others of the shop; of a machine alone its own mean. */
function priorFor(
  machine: PastUse,
  index: number,
  machines: readonly PastUse[],
  byWeek: readonly LevelWeek[][],
  levels: Float64Array,
): number {
  const meanOf = (chosen: readonly number[]): number | null => {
    const seen = chosen.filter((i) => levels[i]! > 0 && byWeek[i]!.some(({ invited }) => invited > 0));
    return seen.length === 0 ? null : seen.reduce((sum, i) => sum + levels[i]!, 0) / seen.length;
  };
  const others = machines.flatMap((_, i) => (i === index ? [] : [i]));
  const like = meanOf(others.filter((i) => machines[i]!.group === machine.group));
  const any = meanOf(others);
  return like ?? (any === null ? levels[index]! || 1 : (any * machine.perStart) / meanPerStart(machines, others));
}

const meanPerStart = (machines: readonly PastUse[], chosen: readonly number[]): number =>
  chosen.reduce((sum, i) => sum + machines[i]!.perStart, 0) / Math.max(1, chosen.length) || 1;

function likeliest(candidates: readonly number[], logLikelihood: (candidate: number) => number): number {
  let best = { candidate: candidates[0] ?? 0, value: Number.NEGATIVE_INFINITY };
  for (const candidate of candidates) {
    const value = logLikelihood(candidate);
    if (value > best.value) best = { candidate, value };
  }
  return best.candidate;
}

/** Days from 20 December to 4 January are the quiet turn of the year where most clubs rest. */
function turnShare(from: number, yearOf: (day: number) => number): number {
  let days = 0;
  for (let day = from; day < from + 7; day++) {
    const part = yearOf(day) - Math.floor(yearOf(day));
    if (part >= 353 / DAYS_A_YEAR || part < 4 / DAYS_A_YEAR) days += 1;
  }
  return days / 7;
}

function courseFrom(
  invited: Float64Array,
  tide: { ahead: Float64Array; meanSd: Float64Array },
  level: { mean: number; variance: number },
  drift: number,
  fano: number,
  today: number,
): Course {
  const reach = invited.length - today;
  const expected = new Float64Array(reach);
  const levelSd = new Float64Array(reach);
  const ofLevel = level.mean > 0 ? level.variance / level.mean ** 2 : 0;
  let sum = 0;
  let tideSum = 0;
  for (let ahead = 0; ahead < reach; ahead++) {
    const week = Math.floor(ahead / 7);
    const ratio = ratioAt(tide.ahead, ahead);
    sum += level.mean * invited[today + ahead]! * ratio;
    tideSum += ratio;
    expected[ahead] = sum;
    const ofTide = tide.meanSd[week]! / (tideSum / (ahead + 1));
    levelSd[ahead] = Math.sqrt(ofLevel + (drift * (ahead + 1)) / 7 / 3 + ofTide ** 2);
  }
  return { expected, levelSd, fano };
}

/** Between the middles of two weeks in a straight line. */
function ratioAt(weeks: Float64Array, ahead: number): number {
  const place = (ahead - 3) / 7;
  const before = Math.max(0, Math.min(weeks.length - 1, Math.floor(place)));
  const after = Math.min(weeks.length - 1, before + 1);
  const share = Math.max(0, Math.min(1, place - before));
  return weeks[before]! * (1 - share) + weeks[after]! * share;
}
