// The simulator against queueing theory, over a grid of fixed seeds: means over replications within four standard errors.
import { describe, expect, it } from "vitest";
import { randomFrom } from "../../analytics/demand/chance.ts";
import {
  type Away,
  drawArrivals,
  emptyArrivals,
  emptyTurns,
  ladderOf,
  mergedArrivals,
  type Schedule,
  type Served,
  serve,
  type TurnLengths,
} from "../../analytics/demand/queue.ts";
import { erlangB, erlangC, queueMany, queueOne } from "../../analytics/stats/index.ts";

const always: Away = { from: new Float64Array(), until: new Float64Array() };
const units = (many: number) => Array.from({ length: many }, () => always);

/** One long stretch in which nobody locks up. */
const openFor = (hours: number): Schedule => ({
  from: Float64Array.of(0),
  until: Float64Array.of(hours),
  closes: Float64Array.of(Number.POSITIVE_INFINITY),
});

const many = 1 << 17;
const lengthsFrom = (quantile: (p: number) => number): TurnLengths => {
  const taken = Float64Array.from({ length: many }, (_, i) => quantile((i + 0.5) / many));
  return { taken, used: taken };
};
/** Mean 1 hour. */
const exponential = lengthsFrom((p) => -Math.log(1 - p));
const constant = lengthsFrom(() => 1);
const uneven = lengthsFrom((p) => (p < 0.9 ? 0.2 : 8.2));

function momentsOf({ taken }: TurnLengths): { mean: number; sd: number } {
  const mean = taken.reduce((sum, one) => sum + one, 0) / taken.length;
  const square = taken.reduce((sum, one) => sum + one ** 2, 0) / taken.length;
  return { mean, sd: Math.sqrt(square - mean ** 2) };
}

/** Mean over replications of a share, and its standard error. */
function replicated(
  { servers, load, lengths, patience }: { servers: number; load: number; lengths: TurnLengths; patience: number },
  figure: (served: Served) => number,
): { mean: number; error: number } {
  const schedule = openFor(6_000 / load);
  const rates = Float64Array.of(load / momentsOf(lengths).mean);
  let into = emptyArrivals(8_192);
  const figures = Array.from({ length: 24 }, (_, seed) => {
    into = drawArrivals(schedule, rates, lengths, randomFrom(seed + 1, servers), into);
    return figure(serve(into, schedule, units(servers), { patience, lastStart: 0 }));
  });
  const mean = figures.reduce((sum, one) => sum + one, 0) / figures.length;
  const variance = figures.reduce((sum, one) => sum + (one - mean) ** 2, 0) / (figures.length - 1);
  return { mean, error: Math.sqrt(variance / figures.length) };
}

const grid = [1, 2, 3, 5].flatMap((servers) => [0.4, 0.6, 0.8].map((busy) => ({ servers, load: servers * busy })));

describe("the simulated queue", () => {
  it.each(grid)("turns away as Erlang B says where nobody waits: $servers units, load $load", ({ servers, load }) => {
    // Erlang B holds for any lengths of the same mean.
    for (const lengths of [exponential, constant, uneven]) {
      const { mean, error } = replicated({ servers, load, lengths, patience: 0 }, ({ turnedAway, came }) => turnedAway / came);
      expect(Math.abs(mean - erlangB(servers, load))).toBeLessThan(4 * error);
    }
  });

  it.each(grid)("makes wait as Erlang C says where everybody waits: $servers units, load $load", ({ servers, load }) => {
    const endless = { servers, load, lengths: exponential, patience: Number.POSITIVE_INFINITY };
    const waiting = replicated(endless, ({ waited, came }) => waited / came);
    expect(Math.abs(waiting.mean - erlangC(servers, load))).toBeLessThan(4 * waiting.error);
    const wait = replicated(endless, ({ waitHours, came }) => waitHours / came);
    const theory = queueMany({ arrivalRate: load, serviceRate: 1, servers }).wait;
    expect(Math.abs(wait.mean - theory)).toBeLessThan(4 * wait.error);
  });

  it.each([0.3, 0.5, 0.7])("makes wait as Pollaczek and Khinchine say with one unit and other lengths: load %d", (load) => {
    for (const lengths of [constant, uneven]) {
      const { mean: serviceMean, sd: serviceSd } = momentsOf(lengths);
      const theory = queueOne({ arrivalRate: load / serviceMean, serviceMean, serviceSd }).wait;
      const { mean, error } = replicated(
        { servers: 1, load, lengths, patience: Number.POSITIVE_INFINITY },
        ({ waitHours, came }) => waitHours / came,
      );
      expect(Math.abs(mean - theory)).toBeLessThan(4 * error);
    }
  });

  it("accounts for everybody who came", () => {
    const schedule: Schedule = {
      from: Float64Array.of(0, 24, 48),
      until: Float64Array.of(8, 32, 56),
      closes: Float64Array.of(8, 32, 56),
    };
    const out: Away = { from: Float64Array.of(26), until: Float64Array.of(30) };
    for (let seed = 0; seed < 40; seed++) {
      const arrivals = drawArrivals(schedule, Float64Array.of(2, 3, 1), exponential, randomFrom(seed));
      const list = emptyTurns(4);
      const served = serve(arrivals, schedule, [out], { patience: 0.25, lastStart: 0.25 }, 1, list);
      expect(served.came).toBe(arrivals.count);
      expect(served.turns + served.turnedAway + served.tooLate + served.foundNone).toBe(served.came);
      expect(list.count).toBe(served.turns);
      for (let i = 0; i < list.count; i++) {
        const [began, ended] = [list.began[i]!, list.ended[i]!];
        expect(began < 26 || began >= 30).toBe(true);
        expect(ended).toBeLessThanOrEqual(began < 8 ? 8 : began < 32 ? 32 : 56);
        if (i > 0) expect(began).toBeGreaterThanOrEqual(list.ended[i - 1]!);
      }
      const ladder = ladderOf(list, 1, 24);
      expect(ladder[0]! + ladder[1]!).toBeCloseTo(24, 9);
      expect(ladder[1]!).toBeCloseTo(served.takenHours, 9);
    }
  });

  it("serves no fewer hours with one unit more, person by person the same", () => {
    const schedule = openFor(2_000);
    for (let seed = 0; seed < 10; seed++) {
      const arrivals = drawArrivals(schedule, Float64Array.of(1.5), exponential, randomFrom(seed));
      const manners = { patience: 0.25, lastStart: 0 };
      const before = serve(arrivals, schedule, units(1), manners);
      const after = serve(arrivals, schedule, units(2), manners);
      expect(after.came).toBe(before.came);
      expect(after.turnedAway).toBeLessThan(before.turnedAway);
      expect(after.useHours).toBeGreaterThan(before.useHours);
    }
  });

  it("thins and merges people without changing the others", () => {
    const schedule = openFor(500);
    const arrivals = drawArrivals(schedule, Float64Array.of(2), exponential, randomFrom(5));
    const half = serve(arrivals, schedule, units(9), { patience: 0, lastStart: 0 }, 0.5);
    const marks = arrivals.mark.subarray(0, arrivals.count).filter((mark) => mark < 0.5).length;
    expect(half.came).toBe(marks);
    const more = drawArrivals(schedule, Float64Array.of(1), exponential, randomFrom(6));
    const merged = mergedArrivals(arrivals, more);
    expect(merged.count).toBe(arrivals.count + more.count);
    for (let i = 1; i < merged.count; i++) expect(merged.time[i]!).toBeGreaterThanOrEqual(merged.time[i - 1]!);
  });

  it("meets a million people a second of processor time", () => {
    const schedule = openFor(200_000);
    const rates = Float64Array.of(1.2);
    let into = drawArrivals(schedule, rates, exponential, randomFrom(0));
    const begun = process.cpuUsage();
    let people = 0;
    for (let seed = 1; seed <= 4; seed++) {
      into = drawArrivals(schedule, rates, exponential, randomFrom(seed), into);
      people += serve(into, schedule, units(2), { patience: 0.25, lastStart: 0 }).came;
    }
    const { user, system } = process.cpuUsage(begun);
    expect(people / ((user + system) / 1e6)).toBeGreaterThan(1_000_000);
  });
});
