// Every published example against ours, and at the end how many agree. Sources, tolerances and pitfalls: published.json.

import poissonCdf from "@stdlib/stats-base-dists-poisson-cdf";
import { afterAll, describe, expect, test } from "vitest";
import {
  adjustedFences,
  adjustedRanks,
  bearingLife,
  benardRank,
  binomialTwoSided,
  countInterval,
  crpsEnsemble,
  crpsNormal,
  erlangB,
  erlangBLoad,
  erlangC,
  fences,
  fitLognormal,
  fitPowerLaw,
  fitWeibull,
  gesd,
  intervalScore,
  kupiec,
  type Lives,
  livesFrom,
  medcouple,
  medianRank,
  minimalRepairAge,
  modifiedZ,
  powerLawHomogeneity,
  queueMany,
  queueOne,
  ratioLine,
  repairCurve,
  repairTrend,
  replacementAge,
  replacementCostRate,
  rossFactor,
  shareInterval,
  sparesNeeded,
  survivalCurve,
  toolLife,
  toolLifeAt,
  waitBeyond,
  weibullCdf,
  weibullDensity,
  weibullHazard,
  weibullQuantile,
  weibullSd,
} from "../../analytics/stats/index.ts";
import { differencesFrom, type Example, examples } from "./published.ts";

type Figures = Record<string, unknown>;

/** Our answer, or a failure if it says that the data are too few. */
function known<T extends object>(answer: T): Exclude<T, { insufficient: unknown }> {
  expect(answer).not.toHaveProperty("insufficient");
  return answer as Exclude<T, { insufficient: unknown }>;
}

/** Log-scale limits with z rounded to 1.96, as older programs print them. */
const roundedLimits = (estimate: number, se: number) => {
  const span = Math.exp((1.96 * se) / estimate);
  return [estimate / span, estimate * span] as const;
};

function weibullFigures(lives: Lives): Figures {
  const fit = known(fitWeibull(lives));
  const [low, high] = [fit.shapeLow, fit.shapeHigh];
  return {
    shape: fit.shape,
    scale: fit.scale,
    loglik: fit.logLikelihood,
    se_shape: fit.shapeSe,
    se_scale: fit.scaleSe,
    B10: fit.b10,
    mean: fit.mean,
    shape_lo95_log: low,
    shape_hi95_log: high,
    failures: fit.failures,
    n: fit.lives,
  };
}

const timesAndStatus = ({ times, status }: { times: number[]; status: number[] }): Lives => ({ time: times, status });
const allFailed = (time: number[]): Lives => ({ time, status: time.map(() => 1) });
const crowRepairs = (input: { system: string[]; time: number[]; T_each: number }) => ({
  system: input.system,
  time: input.time,
  end: input.T_each,
});
const logsTo = (end: number, times: number[]) => times.reduce((sum, time) => sum + Math.log(end / time), 0);

/**
 * Samples of n unit exponential lives that fill their n dimensions evenly (Roberts 2018, the R sequence of the generalised
 * golden ratio): averages over them are several times closer than over as many drawn by chance, and there is no seed.
 */
function evenSamples(n: number, count: number): number[][] {
  let golden = 2;
  for (let round = 0; round < 60; round++) golden = (1 + golden) ** (1 / (n + 1));
  return Array.from({ length: count }, (_, k) =>
    Array.from({ length: n }, (_, j) => -Math.log1p(-((0.5 + (k + 1) * golden ** -(j + 1)) % 1))),
  );
}

const answers: Record<string, (example: Example) => Figures> = {
  "weibull-mle-nist-8413": ({ input }) => {
    const lives = timesAndStatus(input);
    const fit = weibullFigures(lives);
    const lognormal = known(fitLognormal(lives));
    return {
      ...fit,
      AIC: 4 - 2 * Number(fit.loglik),
      lognormal_AIC: 4 - 2 * lognormal.logLikelihood,
      sd: weibullSd({ shape: Number(fit.shape), scale: Number(fit.scale) }),
    };
  },
  "weibull-mle-genfan": ({ input }) => {
    const fit = weibullFigures({ time: input.hours, status: input.status });
    return { ...fit, scale_khours: Number(fit.scale) / 1000 };
  },
  "weibull-mle-zhu": ({ input }) => weibullFigures(timesAndStatus(input)),
  "weibull-mle-abernethy-c5": ({ input }) => weibullFigures(timesAndStatus(input)),
  "weibull-abernethy-fig25": ({ input }) => {
    const lives = timesAndStatus(input);
    const xOnY = known(fitWeibull(lives, { method: "rank-x-on-y" }));
    const yOnX = known(fitWeibull(lives, { method: "rank-y-on-x" }));
    const ranks = adjustedRanks(livesFrom(lives));
    // The same line through exact median ranks, to show how little Benard's approximation matters.
    const points = ranks.map(({ age, rank }) => ({ x: Math.log(age), y: Math.log(-Math.log1p(-medianRank(rank, 8))) }));
    const mean = (figures: number[]) => figures.reduce((sum, one) => sum + one, 0) / figures.length;
    const [mx, my] = [mean(points.map(({ x }) => x)), mean(points.map(({ y }) => y))];
    const exactShape =
      points.reduce((sum, { y }) => sum + (y - my) ** 2, 0) / points.reduce((sum, { x, y }) => sum + (x - mx) * (y - my), 0);
    const likeliest = weibullFigures(lives);
    // The printed figures are the regression's; maximum likelihood taken for them would be a shape of 3.017.
    expect(Math.abs(Number(likeliest.shape) - xOnY.shape)).toBeGreaterThan(0.9);
    return {
      ...likeliest,
      rrx_shape: xOnY.shape,
      rrx_scale: xOnY.scale,
      rry_shape: yOnX.shape,
      rry_scale: yOnX.scale,
      adjusted_ranks: ranks.map(({ rank }) => rank),
      benard: ranks.map(({ rank }) => benardRank(rank, 8)),
      rrx_exactmr_shape: exactShape,
      rrx_exactmr_scale: Math.exp(mx - my / exactShape),
    };
  },
  "weibull-mle-bury-173": ({ input }) => weibullFigures(timesAndStatus(input)),
  "weibull-mle-lieblein-zelen": ({ input }) => weibullFigures(allFailed(input.megacycles)),
  "weibull-mle-shock-absorber": ({ input }) => weibullFigures(timesAndStatus(input)),
  "weibull-mle-cracks-interval": ({ input }) => {
    const days: number[] = input.inspection_days;
    const found: number[] = input.cracks_found;
    const rest = input.units - found.reduce((sum, one) => sum + one, 0);
    const fit = known(fitWeibull({ lower: [0, ...days], upper: [...days, null], count: [...found, rest] }));
    return {
      ...fit,
      loglik: fit.logLikelihood,
      mu: Math.log(fit.scale),
      log_sigma: -Math.log(fit.shape),
      se_mu: fit.scaleSe! / fit.scale,
      se_log_sigma: fit.shapeSe! / fit.shape,
      q10: fit.b10,
      q50: weibullQuantile(0.5, fit),
    };
  },
  "weibull-mle-heat-exchanger": ({ input }) => {
    const lower = input.event.map((event: string, i: number) => (event === "Left" ? 0 : input.lower[i]));
    const upper = input.event.map((event: string, i: number) => (event === "Right" ? null : input.upper[i]));
    // A right-censored row names the inspection it survived as both lower and upper.
    const from = lower.map((age: number, i: number) => (input.event[i] === "Right" ? input.upper[i] : age));
    const fit = known(fitWeibull({ lower: from, upper, count: input.count }));
    return {
      shape: fit.shape,
      scale_years: fit.scale,
      loglik: fit.logLikelihood,
      se_mu: fit.scaleSe! / fit.scale,
      se_log_sigma: fit.shapeSe! / fit.shape,
    };
  },
  "weibull-mle-ifluid-34kv": ({ input }) => {
    const fit = known(fitWeibull(allFailed(input.minutes)));
    const [scaleLow, scaleHigh] = roundedLimits(fit.scale, fit.scaleSe!);
    const [shapeLow, shapeHigh] = roundedLimits(fit.shape, fit.shapeSe!);
    expect([fit.scaleLow! / scaleLow, fit.scaleHigh! / scaleHigh].map((ratio) => ratio.toFixed(4))).toEqual(["1.0000", "1.0000"]);
    return {
      ...weibullFigures(allFailed(input.minutes)),
      ev_location: Math.log(fit.scale),
      se_ev_location: fit.scaleSe! / fit.scale,
      ev_scale: 1 / fit.shape,
      se_ev_scale: fit.shapeSe! / fit.shape ** 2,
      scale_lo: scaleLow,
      scale_hi: scaleHigh,
      shape_lo: shapeLow,
      shape_hi: shapeHigh,
    };
  },
  "weibull-pdf-cdf-nist-8162": ({ input: { t, shape, scale } }) => ({
    pdf: weibullDensity(t, { shape, scale }),
    cdf: weibullCdf(t, { shape, scale }),
    hazard: weibullHazard(t, { shape, scale }),
  }),
  "median-ranks-n10": ({ input: { n } }) => {
    const ranks = Array.from({ length: n }, (_, i) => i + 1);
    return { exact: ranks.map((i) => medianRank(i, n)), benard: ranks.map((i) => benardRank(i, n)) };
  },
  "weibull-shape-bias": ({ input }) => {
    const sizes: number[] = input.n;
    const ratios = sizes.map((n) => {
      const shapes = evenSamples(n, 80_000 / n).map((time) => known(fitWeibull(allFailed(time))).shape);
      const sorted = Float64Array.from(shapes).sort();
      return { mean: shapes.reduce((sum, one) => sum + one, 0) / shapes.length, median: sorted[sorted.length >> 1]! };
    });
    return {
      ross_factor: sizes.map(rossFactor),
      mc_mean_ratio: ratios.map(({ mean }) => mean),
      mc_unbiasing: ratios.map(({ mean }) => 1 / mean),
      mc_median_ratio: ratios.map(({ median }) => median),
    };
  },
  "km-freireich-6mp": ({ input }) => {
    const curve = known(survivalCurve({ time: input.weeks, status: input.status }));
    const atFailures = <T>(column: T[]) => column.filter((_, i) => curve.failed[i]! > 0);
    return {
      time: atFailures(curve.time),
      n_risk: atFailures(curve.atRisk),
      S: atFailures(curve.survival),
      se_greenwood: atFailures(curve.se),
      lo95_loglog: atFailures(curve.low),
      hi95_loglog: atFailures(curve.high),
      median: curve.median,
    };
  },
  "na-freireich-6mp": ({ input }) => {
    const curve = known(survivalCurve({ time: input.weeks, status: input.status }));
    const atFailures = <T>(column: T[]) => column.filter((_, i) => curve.failed[i]! > 0);
    return {
      time: atFailures(curve.time),
      H: atFailures(curve.cumulativeHazard),
      se_poisson: atFailures(curve.cumulativeHazardSe),
    };
  },
  "km-bu-framingham-n20": ({ input }) => {
    const curve = known(survivalCurve(timesAndStatus(input)));
    const at90 = known(survivalCurve(timesAndStatus(input), { level: 0.9 }));
    return {
      time: curve.time,
      S: curve.survival,
      half_width_95_plain: curve.se.map((se) => 1.959963984540054 * se!),
      lo95_loglog: curve.low,
      hi95_loglog: curve.high,
      lo90_loglog: at90.low,
      hi90_loglog: at90.high,
    };
  },
  "mcf-valveseat": ({ input }) => {
    const ends: Record<string, number> = {};
    const [system, time]: [number[], number[]] = [[], []];
    for (const [i, engine] of input.engine.entries()) {
      if (input.status[i] === 0) ends[engine] = input.days[i];
      else {
        system.push(engine);
        time.push(input.days[i]);
      }
    }
    const curve = known(repairCurve({ system, time, end: ends }));
    return {
      time: curve.time,
      n_at_risk: curve.atRisk,
      events: curve.events,
      mcf: curve.mean,
      se_robust: curve.seRobust,
      se_poisson: curve.sePoisson,
    };
  },
  "trend-nist-10-repairs": ({ input }) => {
    const trend = known(repairTrend({ time: input.repair_times, end: input.T_end }));
    return {
      laplace_U: trend.laplaceU,
      laplace_p_two_sided: trend.laplaceP,
      mil_chi2: trend.milChi2,
      mil_df: trend.milDf,
      mil_cdf: trend.milCdf,
      reversals: trend.reversals,
      max_reversals: trend.pairs,
      expected_reversals: trend.pairs! / 2,
    };
  },
  "trend-rocof-30": ({ input }) => {
    let age = 0;
    const time = input.times_between_failures.map((gap: number) => {
      age += gap;
      return age;
    });
    const trend = known(repairTrend({ time, end: "last-event" }));
    const fit = known(fitPowerLaw({ time, end: "last-event" }));
    return {
      laplace_U: trend.laplaceU,
      laplace_p_two_sided: trend.laplaceP,
      mil_chi2: trend.milChi2,
      mil_df: trend.milDf,
      beta_n_over_S: fit.beta,
      beta_nm2_over_S: fit.betaUnbiased,
      lambda_n: fit.lambda,
    };
  },
  "trend-combined-crow-3-systems": ({ input }) => {
    const trend = known(repairTrend(crowRepairs(input)));
    return { laplace_combined: trend.laplaceU, mil_combined: trend.milChi2, mil_df: trend.milDf, mil_cdf: trend.milCdf };
  },
  "power-law-nist-10-repairs": ({ input }) => {
    const fit = known(fitPowerLaw({ time: input.repair_times, end: input.T_end }));
    const events = input.repair_times.length;
    return {
      beta_improvement_slope: 1 - fit.betaUnbiased!,
      b_modified_mle: fit.betaUnbiased,
      a: events / input.T_end ** fit.betaUnbiased!,
      current_MTBF: fit.mtbfUnbiased,
      MTBF_lo80: fit.mtbfUnbiasedLow,
      MTBF_hi80: fit.mtbfUnbiasedHigh,
      b_mle: fit.beta,
      a_mle: fit.lambda,
      MTBF_mle: fit.mtbfAtEnd,
    };
  },
  "power-law-crow-1975-time-truncated": ({ input }) => {
    const fit = known(fitPowerLaw(crowRepairs(input)));
    const names = ["S1", "S2", "S3"];
    // 2Nβ/β̂ is χ² with 2N degrees of freedom: the limits of a count in disguise (Crow 1975, 3.3).
    const exact = countInterval({ events: fit.events - 1, level: 0.9 });
    const exactLow = countInterval({ events: fit.events, level: 0.9 });
    const half = 1.6448536269514722 / Math.sqrt(fit.events);
    const lambdaLimits = countInterval({ events: fit.events, exposure: names.length * input.T_each ** 0.5 });
    return {
      beta: fit.beta,
      lambda: fit.lambda,
      beta_unbiased: fit.betaUnbiased,
      beta_lo90_normal: fit.beta * (1 - half),
      beta_hi90_normal: fit.beta * (1 + half),
      beta_lo90_exact: (fit.beta * exactLow.low) / fit.events,
      beta_hi90_exact: (fit.beta * exact.high) / fit.events,
      CvM: fit.cvm,
      lambda_lo95_beta05: lambdaLimits.low,
      lambda_hi95_beta05: lambdaLimits.high,
      sum_log_by_system: names.map((name) =>
        logsTo(
          input.T_each,
          input.time.filter((_: number, i: number) => input.system[i] === name),
        ),
      ),
    };
  },
  "power-law-crow-1975-homogeneity": ({ input }) => {
    const repairs = crowRepairs(input);
    const all = known(powerLawHomogeneity(repairs));
    const isFirstTwo = (i: number) => input.system[i] !== "S3";
    const two = known(
      powerLawHomogeneity({
        ...repairs,
        system: input.system.filter((_: string, i: number) => isFirstTwo(i)),
        time: input.time.filter((_: number, i: number) => isFirstTwo(i)),
      }),
    );
    return { beta_q: all.beta.map(({ beta }) => beta), F_12: two.f, D: all.d, a: all.a };
  },
  "power-law-mil189-grouped": ({ input }) => {
    const fit = known(fitPowerLaw({ ends: input.interval_ends, counts: input.counts }));
    return {
      beta: fit.beta,
      lambda: fit.lambda,
      intensity_T: fit.intensityAtEnd,
      MTBF_T: fit.mtbfAtEnd,
      last_interval_intensity: fit.intensityLastStretch,
      last_interval_MTBF: fit.mtbfLastStretch,
    };
  },
  "age-replacement-b25-c5": ({ input }) => {
    const costs = { shape: input.shape, scale: input.scale, costPlanned: input.cost_planned, costFailure: input.cost_failure };
    const best = replacementAge(costs);
    return {
      T_opt: best.age,
      cost_rate: best.costRate,
      cost_rate_via_hazard: (costs.costFailure - costs.costPlanned) * weibullHazard(best.age!, costs),
      cost_rate_run_to_failure: best.costRateRunToFailure,
      min_repair_T: minimalRepairAge({ ...costs, costRepair: costs.costFailure }),
    };
  },
  "age-replacement-no-optimum": ({ input }) => {
    const each = (figure: (costs: Parameters<typeof replacementAge>[0]) => number) =>
      input.shape.map((shape: number) =>
        figure({ shape, scale: input.scale, costPlanned: input.cost_planned, costFailure: input.cost_failure }),
      );
    for (const age of each((costs) => replacementAge(costs).age ?? Number.NaN)) expect(age).toBeNaN();
    return {
      cost_rate_T1: each((costs) => replacementCostRate(1, costs)),
      cost_rate_T5: each((costs) => replacementCostRate(5, costs)),
      cost_rate_T20: each((costs) => replacementCostRate(20, costs)),
      limit: each((costs) => replacementAge(costs).costRate),
    };
  },
  "l10h-6309-skf-example": ({ input }) => {
    const life = bearingLife({ dynamicLoadKn: input.C_kN, loadKn: input.P_kN, rpm: input.n_rpm, kind: "ball" });
    return { L10_Mrev: life.millionRevs, L10h: life.hours };
  },
  "l10h-roller-exponent": ({ input }) => {
    const life = (kind: "ball" | "roller", loadKn: number) =>
      bearingLife({ dynamicLoadKn: input.C_kN, loadKn, rpm: input.n_rpm, kind });
    const factor = (kind: "ball" | "roller") => life(kind, input.P_kN / 2).hours / life(kind, input.P_kN).hours;
    return {
      L10_Mrev_ball: life("ball", input.P_kN).millionRevs,
      L10_Mrev_roller: life("roller", input.P_kN).millionRevs,
      L10h_roller_1000rpm: life("roller", input.P_kN).hours,
      half_load_factor_ball: factor("ball"),
      half_load_factor_roller: factor("roller"),
    };
  },
  "l10-reliability-factor-a1": ({ input }) => {
    const reach = (p: number, shape: number) =>
      weibullQuantile(p, { shape, scale: 1 }) / weibullQuantile(0.1, { shape, scale: 1 });
    const bearing = { dynamicLoadKn: 50, loadKn: 10, rpm: 1000, kind: "ball" as const };
    return {
      a1_2007: input.reliability.map(
        (reliability: number) => bearingLife({ ...bearing, reliability }).hours / bearingLife(bearing).hours,
      ),
      a1_from_weibull_e15: input.reliability.map((reliability: number) => reach(1 - reliability, input.slope)),
      L50_over_L10_e15: reach(0.5, input.slope),
      L50_over_L10_e10_9: reach(0.5, 10 / 9),
    };
  },
  "taylor-180-110": ({ input }) => {
    const law = toolLife({ speed: input.V, minutes: input.T_min });
    return { n: law.n, C: law.c, C_check: input.V[1] * input.T_min[1] ** law.n, T_at_140: toolLifeAt(140, law) };
  },
  "taylor-half-speed": ({ input }) => {
    const [quarter, half, slower, faster] = input.cases.map(
      ({ n, speed_factor }: { n: number; speed_factor: number }) =>
        toolLifeAt(speed_factor, { n, c: 1 }) / toolLifeAt(1, { n, c: 1 }),
    );
    return {
      factor_n025: quarter,
      factor_n05: half,
      percent_increase_n05: 100 * (half - 1),
      T_ratio_n04_minus20pct: slower,
      T_ratio_n04_plus30pct: faster,
    };
  },
  "erlang-b-2pct-table": ({ input }) => ({
    offered_load_for_B_002: input.servers.map((servers: number) => erlangBLoad(servers, input.blocking)),
  }),
  "erlang-b-points": ({ input }) => ({ B: input.c.map((servers: number, i: number) => erlangB(servers, input.A[i])) }),
  "erlang-c-points": ({ input }) => ({ C: input.c.map((servers: number, i: number) => erlangC(servers, input.A[i])) }),
  "mmc-bronson-246": ({ input }) => {
    const queue = queueMany({ arrivalRate: input.lambda_per_year, serviceRate: input.mu_per_year, servers: input.servers });
    return {
      rho: queue.utilisation,
      p0: queue.pEmpty,
      Pw: queue.pWait,
      Lq: queue.queueLength,
      L: queue.inSystem,
      Wq_years: queue.wait,
      W_years: queue.timeInSystem,
      Wq_days: 365 * queue.wait,
      W_days: 365 * queue.timeInSystem,
    };
  },
  "mm1-bronson": ({ input }) => {
    const [a, b, c] = input.cases;
    const first = queueMany({ arrivalRate: a.lam, serviceRate: a.mu, servers: 1 });
    const second = queueMany({ arrivalRate: b.lam, serviceRate: 60 / b.service_min, servers: 1 });
    const third = queueMany({ arrivalRate: c.lam_per_min, serviceRate: 60 / c.service_s, servers: 1 });
    return {
      L_23_3: first.inSystem,
      W_23_3_hours: first.timeInSystem,
      p0_23_3: first.pEmpty,
      Lq_23_14: second.queueLength,
      Wq_23_14_min: 60 * second.wait,
      p0_23_14: second.pEmpty,
      Lq_23_16: third.queueLength,
      Wq_23_16_min: third.wait,
      W_23_16_min: third.timeInSystem,
      p0_23_16: third.pEmpty,
    };
  },
  "mmc-second-server": ({ input }) => {
    const figures: Figures = {};
    for (const servers of input.servers) {
      const rates = { arrivalRate: input.lam, serviceRate: input.mu, servers };
      const queue = queueMany(rates);
      figures[`s${servers}_Lq`] = queue.queueLength;
      figures[`s${servers}_L`] = queue.inSystem;
      figures[`s${servers}_Wq`] = queue.wait;
      figures[`s${servers}_W`] = queue.timeInSystem;
      figures[`s${servers}_p0`] = queue.pEmpty;
      figures[`s${servers}_Pw`] = queue.pWait;
      figures[`s${servers}_P_wait_gt_half_hour`] = waitBeyond(0.5, rates);
    }
    return figures;
  },
  "mg1-kelton-uniform-triangular": ({ input }) => {
    const sds: Record<string, number> = {
      mm1: input.mean_service,
      uniform: 1.8 / Math.sqrt(12),
      // (a² + b² + c² − ab − ac − bc)/18 with a 0.1, b 1.9, c 1.
      triangular: Math.sqrt((0.01 + 3.61 + 1 - 0.19 - 0.1 - 1.9) / 18),
      md1: 0,
    };
    const figures: Figures = {};
    for (const [name, serviceSd] of Object.entries(sds)) {
      const queue = queueOne({ arrivalRate: input.lam, serviceMean: input.mean_service, serviceSd });
      figures[`${name}_Wq`] = queue.wait;
      figures[`${name}_W`] = queue.timeInSystem;
      figures[`${name}_Lq`] = queue.queueLength;
      figures[`${name}_L`] = queue.inSystem;
    }
    return figures;
  },
  "gesd-rosner-54": ({ input }) => {
    const answer = known(gesd(input.x, { max: input.r, alpha: input.alpha }));
    return {
      n: input.x.length,
      R: answer.statistic,
      lambda: answer.critical,
      removed: answer.removed.map((i) => input.x[i]),
      outliers: answer.outliers.length,
    };
  },
  "modified-z-iglewicz-hoaglin": ({ input }) => {
    const answer = known(modifiedZ(input.x));
    const mean = input.x.reduce((sum: number, one: number) => sum + one, 0) / input.x.length;
    const sd = Math.sqrt(input.x.reduce((sum: number, one: number) => sum + (one - mean) ** 2, 0) / (input.x.length - 1));
    return {
      median: answer.median,
      MAD_raw: answer.mad,
      M: answer.scores,
      n_outliers_35: answer.outliers.length,
      // The ordinary z-score, to show how the two outliers hide each other from it.
      z_max_classical: Math.max(...input.x.map((one: number) => Math.abs(one - mean) / sd)),
    };
  },
  "tukey-fences-nist-716": ({ input }) => {
    const answer = known(fences(input.x));
    const hinges = known(adjustedFences(input.x));
    const sorted: number[] = [...input.x].sort((a, b) => a - b);
    const type7 = (p: number) => {
      const place = (sorted.length - 1) * p;
      const below = Math.floor(place);
      return sorted[below]! + (place - below) * (sorted[below + 1]! - sorted[below]!);
    };
    const range7 = type7(0.75) - type7(0.25);
    return {
      n: input.x.length,
      median: answer.median,
      Q1: answer.q1,
      Q3: answer.q3,
      IQR: answer.q3 - answer.q1,
      lower_inner: answer.lower,
      upper_inner: answer.upper,
      lower_outer: answer.lowerOuter,
      upper_outer: answer.upperOuter,
      outliers_inner: answer.outliers.map((i) => input.x[i]),
      n_extreme: input.x.filter((one: number) => one < answer.lowerOuter || one > answer.upperOuter).length,
      // R's default quartiles, computed here to show that ours are another kind.
      Q1_type7: type7(0.25),
      Q3_type7: type7(0.75),
      upper_inner_type7: type7(0.75) + 1.5 * range7,
      lower_inner_type7: type7(0.25) - 1.5 * range7,
      hinge_lower: hinges.lowerHinge,
      hinge_upper: hinges.upperHinge,
    };
  },
  "medcouple-small-sets": ({ input }) => {
    const other: Record<string, string> = { rosner54: "gesd-rosner-54", nist90: "tukey-fences-nist-716" };
    return Object.fromEntries(
      Object.entries(input).map(([name, x]) => [
        name,
        medcouple(other[name] ? examples.find(({ id }) => id === other[name])!.input.x : (x as number[])),
      ]),
    );
  },
  "adjusted-boxplot-coal-intervals": ({ input }) => {
    const x = input.dates.slice(1).map((date: number, i: number) => date - input.dates[i]);
    return adjustedFigures(x);
  },
  "adjusted-boxplot-rosner": ({ input }) => ({
    ...adjustedFigures(input.x),
    tukey_n_outliers: known(fences(input.x)).outliers.length,
  }),
  "strd-noint1": ({ input, mustNotMatch, expected }) => {
    const line = known(ratioLine(input));
    const n = input.y.length;
    const squares = input.y.reduce((sum: number, one: number) => sum + one * one, 0);
    const residual = line.residualSd! ** 2 * (n - 1);
    expect(line.rSquared).not.toBeCloseTo(Number(mustNotMatch?.R2_centered), 2);
    expect(expected.df_residual).toBe(n - 1);
    return {
      B1: line.slope,
      se_B1: line.slopeSe,
      residual_sd: line.residualSd,
      R2: line.rSquared,
      SS_regression: squares - residual,
      SS_residual: residual,
      F: (line.slope / line.slopeSe!) ** 2,
      df_residual: line.points - 1,
    };
  },
  "garwood-95-table": ({ input }) => {
    const limits = input.k.map((events: number) => countInterval({ events, level: input.level }));
    return {
      k: input.k,
      lower: limits.map(({ low }: { low: number }) => low),
      upper: limits.map(({ high }: { high: number }) => high),
    };
  },
  "garwood-rate-15-per-400": ({ input }) => {
    const limits = countInterval(input);
    return {
      estimate: input.events / input.exposure,
      lower: limits.low,
      upper: limits.high,
      zero_one_sided_95: countInterval({ events: 0, level: 0.9 }).high,
      zero_two_sided_95: countInterval({ events: 0, level: 0.95 }).high,
    };
  },
  "wilson-clopper-pearson-R": shareFigures,
  "newcombe-1998": shareFigures,
  "mtbf-chi2-nist-8451": ({ input: { hours, failures, level } }) => {
    const rate = countInterval({ events: failures, exposure: hours, level });
    const mtbf = hours / failures;
    return {
      MTBF: mtbf,
      lo90: 1 / rate.high,
      hi90: 1 / rate.low,
      factor_lo: 1 / rate.high / mtbf,
      factor_hi: 1 / rate.low / mtbf,
      zero_failures_lower95_800h: 1 / countInterval({ events: 0, exposure: hours, level }).high,
    };
  },
  "crps-normal": ({ input }) => {
    const scores: number[] = input.obs.map((observed: number) => crpsNormal({ mean: input.mu, sd: input.sigma }, observed));
    const mean = (figures: number[]) => figures.reduce((sum, one) => sum + one, 0) / figures.length;
    const point = mean(input.obs.map((observed: number) => crpsEnsemble([0], observed)));
    return {
      crps_0: crpsNormal({ mean: input.mu, sd: input.sigma }, 0),
      crps_obs_m2_to_2: scores,
      skill_vs_point_zero: 1 - mean(scores) / point,
      crps_y3_mu1_sigma2: crpsNormal({ mean: input.extra.mu, sd: input.extra.sigma }, input.extra.y),
    };
  },
  "crps-ensemble-toy": ({ input }) => ({
    crps: input.ensemble.map((ensemble: number[], i: number) => crpsEnsemble(ensemble, input.y[i])),
    fair_crps_0_01: crpsEnsemble(input.fair_cases[0].ens, input.fair_cases[0].y, "fair"),
    fair_crps_2_01: crpsEnsemble(input.fair_cases[1].ens, input.fair_cases[1].y, "fair"),
  }),
  "interval-score-coverage": ({ input }) => {
    const test = kupiec(input.hits, input.n, input.nominal);
    return {
      score: input.obs.map((observed: number) => intervalScore(input, observed)),
      score_below: intervalScore(input, input.obs_below),
      coverage_p_exact_two_sided_86_of_100_vs_090: binomialTwoSided(input.hits, input.n, input.nominal),
      kupiec_LR_86_of_100: test.statistic,
      kupiec_p: test.p,
    };
  },
  "spares-poisson-table": ({ input }) => {
    const [n90, n95, n99] = input.levels.map((level: number) =>
      input.mean_demand.map((meanDemand: number) => sparesNeeded({ meanDemand, level })),
    );
    const stocks = (list: { stock: number }[]) => list.map(({ stock }) => stock);
    return {
      n_90: stocks(n90),
      n_95: stocks(n95),
      n_99: stocks(n99),
      P_no_stockout_at_n_95: n95.map(({ probability }: { probability: number }) => probability),
    };
  },
  "spares-blanchard": ({ input }) => {
    const meanDemand = (input.K * input.failures_per_1000h * input.hours) / 1000;
    return {
      mean: meanDemand,
      n: sparesNeeded({ meanDemand, level: input.level }).stock,
      P_7: poissonCdf(7, meanDemand),
      P_8: sparesNeeded({ meanDemand, level: input.level }).probability,
      P_9: poissonCdf(9, meanDemand),
    };
  },
  "spares-nft-1632": ({ input }) => {
    const meanDemand = (input.N * input.failures_per_1e6h * input.turnaround_h) / 1e6;
    return {
      mean: meanDemand,
      P_n: [4, 5, 6, 7, 8, 9].map((n) => poissonCdf(n, meanDemand)),
      n_999: sparesNeeded({ meanDemand, level: 0.999 }).stock,
      n_9999: sparesNeeded({ meanDemand, level: 0.9999 }).stock,
    };
  },
};

function adjustedFigures(x: number[]): Figures {
  const answer = known(adjustedFences(x));
  return {
    medcouple: answer.medcouple,
    n: x.length,
    lower_hinge: answer.lowerHinge,
    median: answer.median,
    upper_hinge: answer.upperHinge,
    fence_lower: answer.lower,
    fence_upper: answer.upper,
    n_outliers: answer.outliers.length,
    outliers: answer.outliers.map((i) => x[i]!).sort((a, b) => a - b),
  };
}

function shareFigures({ input }: Example): Figures {
  const limits = (method: "wilson" | "exact") =>
    input.x.map((hits: number, i: number) => shareInterval({ hits, trials: input.n[i], method }));
  const [wilson, exact] = [limits("wilson"), limits("exact")];
  return {
    wilson_lower: wilson.map(({ low }: { low: number }) => low),
    wilson_upper: wilson.map(({ high }: { high: number }) => high),
    cp_lower: exact.map(({ low }: { low: number }) => low),
    cp_upper: exact.map(({ high }: { high: number }) => high),
  };
}

const scaled = (figures: unknown, by: number): unknown =>
  Array.isArray(figures) ? figures.map((one) => scaled(one, by)) : Number(figures) * by;
const isAllZero = (figures: unknown): boolean => (Array.isArray(figures) ? figures.every(isAllZero) : Number(figures) === 0);

describe("published examples", () => {
  const agreed: Example[] = [];
  const given = new Map<string, Figures>();

  for (const example of examples) {
    test(`${example.id}${example.verified === "from memory" ? " (print from memory)" : ""}`, () => {
      const answer = answers[example.id];
      expect(answer, `no answer of ours for ${example.id}`).toBeDefined();
      given.set(example.id, answer!(example));
      expect(differencesFrom(example, given.get(example.id)!)).toEqual([]);
      agreed.push(example);
    });
  }

  test("each of them would notice a figure that is off by two percent, or missing", () => {
    for (const example of examples) {
      const ours = given.get(example.id)!;
      for (const key of Object.keys(example.expected)) {
        expect(differencesFrom(example, { ...ours, [key]: undefined }), `${example.id} ${key}`).not.toEqual([]);
        const off = scaled(ours[key], 1.02);
        if (!isAllZero(ours[key]))
          expect(differencesFrom(example, { ...ours, [key]: off }), `${example.id} ${key}`).not.toEqual([]);
      }
    }
  });

  afterAll(() => {
    const remembered = agreed.filter(({ verified }) => verified === "from memory").length;
    console.log(`${agreed.length} of ${examples.length} published examples agree (${remembered} of them printed from memory)`);
  });
});
