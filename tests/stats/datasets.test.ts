// Open data from outside the project: textbook sets that come from two publishers, and a simulated fleet of a hundred machines.
// Origins and licences stand in the SOURCE.md beside each set.
import { describe, expect, test } from "vitest";
import { fitWeibull, posteriorLife, priorFor, repairCurve, survivalCurve, weibullSurvival } from "../../analytics/stats/index.ts";
import { isInsufficient } from "../../shared/errors.ts";
import { hasDatasets, rowsOf } from "./datasets.ts";

function sure<T extends object>(answer: T): Exclude<T, { insufficient: unknown }> {
  if (isInsufficient(answer)) throw new Error(JSON.stringify(answer));
  return answer as Exclude<T, { insufficient: unknown }>;
}

const isFailure = (event: string | undefined) => /^fail/i.test(event ?? "");

describe.skipIf(!hasDatasets)("open data", () => {
  test("the diesel fans of two publishers are the same fans", () => {
    const single = rowsOf("r-reliability/survival_genfan.csv");
    const grouped = rowsOf("smrd-reliability/fan.csv");
    const a = sure(fitWeibull({ time: single.map((row) => Number(row.hours)), status: single.map((row) => Number(row.status)) }));
    const b = sure(
      fitWeibull({
        time: grouped.map((row) => Number(row.hours)),
        status: grouped.map((row) => (isFailure(row.event) ? 1 : 0)),
        count: grouped.map((row) => Number(row.count)),
      }),
    );
    expect(b.lives).toBe(70);
    expect(b.failures).toBe(12);
    expect(b.shape).toBeCloseTo(a.shape, 9);
    // SAS/QC manual, after Nelson 1982: 1.0584 and 26.2968 thousand hours.
    expect(a.shape).toBeCloseTo(1.0584, 4);
    expect(a.scale / 1000).toBeCloseTo(26.2968, 3);
  });

  test("shock absorbers: the cumulative hazards of the two modes add up to that of all failures", () => {
    const rows = rowsOf("smrd-reliability/shockabsorber.csv");
    const curveOf = (counts: (mode: string | undefined) => boolean) =>
      sure(survivalCurve({ time: rows.map((row) => Number(row.miles)), status: rows.map((row) => (counts(row.mode) ? 1 : 0)) }));
    const all = curveOf((mode) => mode !== "Censored");
    const [one, two] = ["Mode1", "Mode2"].map((name) => curveOf((mode) => mode === name));
    for (const [i, hazard] of all.cumulativeHazard.entries()) {
      expect(one!.cumulativeHazard[i]! + two!.cumulativeHazard[i]!).toBeCloseTo(hazard, 12);
    }
  });

  test("bearing cages: six failures of 1703, in counts", () => {
    const rows = rowsOf("smrd-reliability/bearingcage.csv");
    const lives = {
      time: rows.map((row) => Number(row.hours)),
      status: rows.map((row) => (isFailure(row.event) ? 1 : 0)),
      count: rows.map((row) => Number(row.count)),
    };
    const fit = sure(fitWeibull(lives));
    expect(fit).toMatchObject({ lives: 1703, failures: 6 });
    // R survival 3.5-3, survreg: 2.03531861 and 11792.178 (tests/reference/r-answers.json).
    expect(fit.shape).toBeCloseTo(2.03531861, 6);
    // Six failures are few: the belief pulls the shape, and the answer stays within the data's own limits.
    const posterior = posteriorLife(lives, priorFor("bearing"));
    expect(posterior.shape.best).toBeGreaterThan(fit.shapeLow!);
    expect(posterior.shape.best).toBeLessThan(fit.shapeHigh!);
  });

  test("cylinders of 120 diesel engines: one mean curve, and engines differ more than chance", () => {
    const rows = rowsOf("smrd-reliability/cylinder.csv");
    const end: Record<string, number> = {};
    const [system, time]: [string[], number[]] = [[], []];
    for (const row of rows) {
      if (/^end$/i.test(row.event!)) end[row.engine!] = Number(row.days);
      else {
        for (let k = 0; k < Number(row.count); k++) {
          system.push(row.engine!);
          time.push(Number(row.days));
        }
      }
    }
    expect(Object.keys(end)).toHaveLength(120);
    const curve = sure(repairCurve({ system, time, end }));
    expect(curve.atRisk[0]).toBe(120);
    expect(curve.events.reduce((sum, one) => sum + one, 0)).toBe(time.length);
    expect(curve.mean.every((mean, i) => i === 0 || mean > curve.mean[i - 1]!)).toBe(true);
    // Several cylinders are often replaced on one day: the robust error sees that, the Poisson one doesn't.
    const late = curve.time.findLastIndex((_, i) => curve.atRisk[i]! >= 20);
    expect(curve.seRobust[late]).toBeGreaterThan(curve.sePoisson[late]!);
  });

  test("a simulated fleet: replacements and failures joined to 2886 lives, 743 of them failed", () => {
    const failures = new Set(
      rowsOf("pdm-azure/PdM_failures.csv").map((row) => `${row.datetime!.slice(0, 10)} ${row.machineID} ${row.failure}`),
    );
    const byPart = new Map<string, string[]>();
    for (const row of rowsOf("pdm-azure/PdM_maintenance.csv")) {
      const part = `${row.machineID} ${row.comp}`;
      byPart.set(part, [...(byPart.get(part) ?? []), row.datetime!.slice(0, 10)]);
    }
    const lives = { time: [] as number[], status: [] as number[], comp: [] as string[] };
    for (const [part, days] of byPart) {
      const ordered = days.sort();
      for (const [i, day] of ordered.entries()) {
        if (i === 0) continue;
        lives.time.push((Date.parse(day) - Date.parse(ordered[i - 1]!)) / 86_400_000);
        lives.status.push(failures.has(`${day} ${part}`) ? 1 : 0);
        lives.comp.push(part.split(" ")[1]!);
      }
    }
    expect(lives.time).toHaveLength(2886);
    expect(lives.status.reduce((sum, one) => sum + one, 0)).toBe(743);
    for (const comp of ["comp1", "comp2", "comp3", "comp4"]) {
      const own = lives.comp.flatMap((one, i) => (one === comp ? [i] : []));
      const known = { time: own.map((i) => lives.time[i]!), status: own.map((i) => lives.status[i]!) };
      const fit = sure(fitWeibull(known));
      const curve = sure(survivalCurve(known));
      // Parts of this fleet are due every fifteen days and fail a while later: they wear out, and the line follows the steps.
      expect(fit.shapeLow).toBeGreaterThan(1);
      const step = curve.time.findIndex((_, i) => curve.survival[i]! <= 0.6);
      const smooth = weibullSurvival(curve.time[step]!, fit);
      expect(smooth).toBeGreaterThan(curve.survival[step]! - 0.1);
      expect(smooth).toBeLessThan(curve.survival[step - 1]! + 0.1);
      const posterior = posteriorLife(known, priorFor(null, "days"));
      expect(Math.abs(posterior.scale.best - fit.scale)).toBeLessThan(fit.scaleSe!);
    }
  });
});
