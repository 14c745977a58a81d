// Demand behind a busy machine: people are simulated who wait or leave, only their sessions are written down, and the estimate from
// these is held against how many truly came. Starts over free hours alone is shown beside it.
import { describe, expect, it } from "vitest";
import { randomFrom } from "../../analytics/demand/chance.ts";
import { demandModel } from "../../analytics/demand/index.ts";
import { drawArrivals, emptyTurns, type Schedule, serve } from "../../analytics/demand/queue.ts";
import { addMachines, addSessions, openShop } from "../hours/shop.ts";

const sessionHours = 0.5;
const days = 140;
const start = Date.UTC(2025, 0, 6);
const at = (hour: number) => new Date(start + Math.round(hour * 3_600) * 1_000).toISOString();

interface Case {
  units: number;
  load: number;
  /** In session lengths. */
  patience: number;
  seed: number;
}

/** Relative errors of the estimate and of starts over free hours, and the standard error of the former from counting alone. */
async function errorsOf({ units, load, patience, seed }: Case): Promise<{ ours: number; naive: number; noise: number }> {
  // Twice as many by day as by night, so that the hours of the week differ.
  const hours = days * 24;
  const schedule: Schedule = {
    from: Float64Array.from({ length: hours }, (_, hour) => hour),
    until: Float64Array.from({ length: hours }, (_, hour) => hour + 1),
    closes: new Float64Array(hours).fill(Number.POSITIVE_INFINITY),
  };
  const mean = (units * load) / sessionHours;
  const rates = Float64Array.from({ length: hours }, (_, hour) => mean * (hour % 24 < 12 ? 4 / 3 : 2 / 3));
  const lengths = Float64Array.from({ length: 4_096 }, (_, i) => -Math.log(1 - (i + 0.5) / 4_096) * sessionHours);
  const arrivals = drawArrivals(schedule, rates, { taken: lengths, used: lengths }, randomFrom(seed));
  const list = emptyTurns();
  const always = { from: new Float64Array(), until: new Float64Array() };
  serve(
    arrivals,
    schedule,
    Array.from({ length: units }, () => always),
    { patience: patience * sessionHours, lastStart: 0 },
    1,
    list,
  );

  const shop = await openShop();
  try {
    await addMachines(
      shop.connection,
      Array.from({ length: units }, (_, unit) => ({ machine: `saw-${unit}`, group: "saw", from: at(0) })),
    );
    const stretches = Array.from({ length: list.count }, (_, i) => ({
      machine: `saw-${list.unit[i]!}`,
      badge: `badge ${i}`,
      start: at(list.began[i]!),
      end: at(list.ended[i]!),
    }));
    await addSessions(shop.connection, stretches);
    const span = {
      since: new Date(start),
      until: new Date(start + hours * 3_600_000),
      asOf: new Date(start + hours * 3_600_000),
    };
    const model = await demandModel(shop.connection, { ...span, zone: "UTC" }, { seed: 1 });
    const { wishes, cells } = model!.groups[0]!;
    const free = [...cells.freeHours].reduce((sum, one, i) => sum + one + cells.windowHours[i]!, 0);
    const came = arrivals.count / hours;
    return {
      ours: wishes.wished / wishes.openHours / came - 1,
      naive: list.count / free / came - 1,
      noise: Math.sqrt(1 / wishes.counted + 1 / arrivals.count),
    };
  } finally {
    shop.close();
  }
}

const loads = [0.4, 0.6, 0.8];
const patiences = [0, 0.25, 0.5, 1];

describe("turns wished for", () => {
  it.each([1, 2])(
    "are counted without bias on %d unit(s), where starts over free hours are 6 to 50 per cent too many",
    async (units) => {
      const ours: number[] = [];
      const waiting: number[] = [];
      for (const [i, load] of loads.entries()) {
        for (const [j, patience] of patiences.entries()) {
          const { ours: error, naive, noise } = await errorsOf({ units, load, patience, seed: units * 100 + i * 10 + j });
          expect(Math.abs(error), `load ${load}, patience ${patience}`).toBeLessThan(4 * noise);
          ours.push(error);
          if (patience >= 0.5) waiting.push(naive);
        }
      }
      const mean = ours.reduce((sum, one) => sum + one, 0) / ours.length;
      expect(Math.abs(mean)).toBeLessThan(0.01);
      const [least, most] = [Math.min(...waiting), Math.max(...waiting)];
      if (units === 1) {
        expect(least).toBeGreaterThan(0.06);
        expect(most).toBeGreaterThan(0.4);
      } else expect(most).toBeGreaterThan(0.2);
    },
    240_000,
  );
});
