import fc from "fast-check";
import { describe, expect, test, vi } from "vitest";
import { deriveSessions } from "../../ingest/derive/index.ts";
import { inEmptyShop, type SessionRow, sessions } from "./shop.ts";
import { dateOf, type Settings, simulate, start, type TrueSession, write } from "./simulator.ts";

vi.setConfig({ testTimeout: 300_000 });

const settings = fc.record({
  seed: fc.integer(),
  stations: fc.integer({ min: 1, max: 4 }),
  days: fc.integer({ min: 1, max: 4 }),
  lostReleases: fc.constantFrom(0, 0.1, 0.4),
  alive: fc.constant(true),
  cuts: fc.integer({ min: 0, max: 3 }),
  losses: fc.integer({ min: 0, max: 3 }),
  motors: fc.boolean(),
  chatter: fc.constantFrom(0, 0.3),
});

const derived = async (
  world: ReturnType<typeof simulate>,
  asOf: Date,
  order?: (index: number) => number,
): Promise<SessionRow[]> =>
  inEmptyShop(async (connection) => {
    await write(connection, world, order);
    await deriveSessions(connection, { asOf, seed: 1 });
    return sessions(connection);
  });

async function holdsBounds(chosen: Settings, asOfShare: number): Promise<number> {
  const world = simulate(chosen);
  const asOf = dateOf(asOfShare * chosen.days * 86_400);
  const truth = new Map(world.sessions.map((session) => [`${session.station}|${dateOf(session.start).getTime()}`, session]));
  const byEnd = new Map(world.sessions.map((session) => [`${session.station}|${dateOf(session.end).getTime()}`, session]));
  const rows = await derived(world, asOf);
  for (const row of rows) {
    if (row.ended === "released" && row.end_draws !== null) {
      holdsLength(row, byEnd.get(`${row.station}|${row.ended_at?.getTime()}`));
      continue;
    }
    const real = truth.get(`${row.station}|${row.started_at.getTime()}`);
    if (!real) throw new Error(`no true session begins at ${row.started_at.toISOString()} at station ${row.station}`);
    const end = Math.min(dateOf(real.end).getTime(), asOf.getTime());
    const told = `station ${row.station} ${row.started_at.toISOString()} ${row.ended}: ${row.end_low.toISOString()} ≤ ${new Date(end).toISOString()} ≤ ${row.end_high.toISOString()}`;
    expect(row.end_low.getTime() <= end && end <= row.end_high.getTime(), told).toBe(true);
    expect(row.end_low <= row.end_best && row.end_best <= row.end_high, told).toBe(true);
    expect(row.ended_at === null).toBe(row.end_draws !== null);
    for (const seconds of row.end_draws ?? []) {
      const at = row.started_at.getTime() + seconds * 1000;
      expect(at >= row.end_low.getTime() - 1 && at <= row.end_high.getTime() + 1, `${told} draw ${seconds}`).toBe(true);
    }
  }
  expect(new Set(rows.map((row) => row.session_id)).size).toBe(rows.length);
  return rows.filter((row) => row.ended === "released" && row.end_draws !== null).length;
}

/** A session whose start was not seen: its length is what lies between bounds. */
function holdsLength(row: SessionRow, real: TrueSession | undefined): void {
  if (!real) throw new Error(`no true session ends at ${row.ended_at?.toISOString()} at station ${row.station}`);
  const begun = row.started_at.getTime() / 1000;
  const [low, high] = [row.end_low.getTime() / 1000 - begun, row.end_high.getTime() / 1000 - begun];
  expect(row.end_best).toEqual(row.ended_at);
  for (const length of [real.end - real.start, ...row.end_draws!]) {
    expect(length >= low - 0.01 && length <= high + 0.01, `${low} ≤ ${length} ≤ ${high}`).toBe(true);
  }
}

describe("laws", () => {
  test("the truth lies between the bounds, and so does every draw", async () => {
    await fc.assert(
      fc.asyncProperty(settings, fc.double({ min: 0.3, max: 1, noNaN: true }), async (chosen, share) => {
        await holdsBounds(chosen, share);
      }),
      {
        seed: 20,
        endOnFailure: true,
        numRuns: 25,
      },
    );
  });

  test("also where stations give no signs of life", async () => {
    await fc.assert(
      fc.asyncProperty(settings, fc.double({ min: 0.3, max: 1, noNaN: true }), async (chosen, share) => {
        await holdsBounds({ ...chosen, alive: false, losses: 0 }, share);
      }),
      { seed: 21, numRuns: 15, endOnFailure: true },
    );
  });

  test("also where enables get lost: those sessions end with their release and are as long as their bounds allow", async () => {
    let unbegun = 0;
    await fc.assert(
      fc.asyncProperty(settings, fc.integer({ min: 1, max: 3 }), async (chosen, tenths) => {
        const world = { ...chosen, lostEnables: tenths / 10, lostReleases: 0, losses: 0, chatter: 0 };
        unbegun += await holdsBounds(world, 1);
      }),
      { seed: 26, numRuns: 8, endOnFailure: true },
    );
    expect(unbegun).toBeGreaterThan(20);
  });

  test("the order in which rows lie in the table changes nothing", async () => {
    await fc.assert(
      fc.asyncProperty(settings, fc.integer({ min: 2, max: 10_000 }), async (chosen, factor) => {
        const world = simulate(chosen);
        const asOf = dateOf(chosen.days * 86_400);
        const shuffled = await derived(world, asOf, (index) => ((index + 1) * factor * 7919) % 10_007);
        expect(shuffled).toEqual(await derived(world, asOf));
      }),
      { seed: 22, numRuns: 6, endOnFailure: true },
    );
  });

  test("shifted by whole weeks, everything ends as before, as much later", async () => {
    await fc.assert(
      fc.asyncProperty(settings, fc.integer({ min: 1, max: 60 }), async (chosen, weeks) => {
        const by = weeks * 7 * 86_400_000;
        const later = (text: string) => new Date(new Date(text).getTime() + by).toISOString();
        const world = simulate(chosen);
        const shifted = {
          ...world,
          lines: world.lines.map((line) => ({ ...line, at: later(line.at) })),
          signs: world.signs.map((sign) => ({ ...sign, at: sign.at + by / 1000 })),
        };
        const plain = (rows: SessionRow[], back: number) =>
          rows.map((row) => [
            row.station,
            row.badge,
            row.ended,
            row.starts,
            row.started_at.getTime() - back,
            row.end_low.getTime() - back,
            row.end_high.getTime() - back,
            row.cause_id === null ? row.end_best.getTime() - back : null,
          ]);
        const asOf = dateOf(chosen.days * 86_400);
        expect(plain(await derived(shifted, new Date(asOf.getTime() + by)), by)).toEqual(plain(await derived(world, asOf), 0));
      }),
      { seed: 23, numRuns: 6, endOnFailure: true },
    );
  });

  test("the draws' mean is the mean of the truth where releases get lost by chance, and their spread holds the total", async () => {
    // 30 shops of 12 days in which 3 releases in 10 get lost. Each total's error is counted in spreads of its own draws.
    const errors: number[] = [];
    let real = 0;
    let expected = 0;
    for (let seed = 1; seed <= 30; seed += 1) {
      const world = simulate({ seed, stations: 3, days: 12, lostReleases: 0.3, alive: false });
      const truth = new Map(world.sessions.map((session) => [`${session.station}|${start + session.start}`, session]));
      const totals = Array.from({ length: 100 }, () => 0);
      let sum = 0;
      for (const row of await derived(world, dateOf(12 * 86_400))) {
        if (row.end_draws === null) continue;
        const session = truth.get(`${row.station}|${row.started_at.getTime() / 1000}`)!;
        sum += session.end - session.start;
        row.end_draws.forEach((seconds, world) => {
          totals[world]! += seconds;
        });
      }
      const mean = totals.reduce((a, b) => a + b) / totals.length;
      const spread = Math.sqrt(totals.reduce((a, b) => a + (b - mean) ** 2, 0) / (totals.length - 1));
      errors.push((sum - mean) / spread);
      real += sum;
      expected += mean;
    }
    const within = errors.filter((error) => Math.abs(error) < 1.2816).length;
    // Eight in ten lie within the 10 and 90 % points; of 30, with 99.9 % between 16 and 30 (binomial).
    expect(within).toBeGreaterThanOrEqual(16);
    expect(Math.abs(expected / real - 1)).toBeLessThan(0.08);
  });
});
