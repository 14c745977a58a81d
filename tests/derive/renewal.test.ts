import type { DuckDBConnection } from "@duckdb/node-api";
import fc from "fast-check";
import { describe, expect, test, vi } from "vitest";
import { deriveSessions, verifyDerivation } from "../../ingest/derive/index.ts";
import { fill, inEmptyShop, type Line, sessions } from "./shop.ts";
import { dateOf, type Settings, type Sign, simulate, start, writeAlive } from "./simulator.ts";

vi.setConfig({ testTimeout: 300_000 });

interface Batch {
  lines: Line[];
  signs: Sign[];
}

/** A world's lines and signs in batches by time, some late, the batches in any order. */
function batches(chosen: Settings, count: number, late: number[], order: number[]): Batch[] {
  const world = simulate(chosen);
  const part = (seconds: number, index: number) => {
    const own = Math.min(count - 1, Math.floor((seconds / (chosen.days * 86_400)) * count));
    const delay = late[index % late.length]!;
    return Math.min(count - 1, own + delay);
  };
  const made: Batch[] = Array.from({ length: count }, () => ({ lines: [], signs: [] }));
  world.lines.forEach((line, index) => {
    made[part(Date.parse(line.at) / 1000 - start, index)]!.lines.push(line);
  });
  world.signs.forEach((sign, index) => {
    made[part(sign.at, index)]!.signs.push(sign);
  });
  return made
    .map((batch, index) => ({ batch, rank: order[index % order.length]! }))
    .sort((a, b) => a.rank - b.rank)
    .map(({ batch }) => batch)
    .filter((batch) => batch.lines.length + batch.signs.length > 0);
}

async function feed(connection: DuckDBConnection, given: Batch[], check: () => Promise<void>): Promise<void> {
  const signs: Sign[] = [];
  let lines = 0;
  let last = 0;
  for (const batch of given) {
    await fill(connection, batch.lines, lines + 1);
    lines += batch.lines.length;
    signs.push(...batch.signs);
    if (batch.signs.length > 0) await writeAlive(connection, signs);
    const times = [...batch.lines.map((line) => Date.parse(line.at)), ...batch.signs.map((sign) => dateOf(sign.at).getTime())];
    const [from, until] = [Math.min(...times), Math.max(...times)];
    last = Math.max(last, until);
    const stations = [...new Set([...batch.lines.map((line) => line.station!), ...batch.signs.map((sign) => sign.station)])];
    await deriveSessions(connection, {
      asOf: new Date(last),
      seed: 1,
      touched: { stations, from: new Date(from), until: new Date(until) },
    });
    await check();
  }
}

const settings = fc.record({
  seed: fc.integer(),
  stations: fc.integer({ min: 1, max: 4 }),
  days: fc.integer({ min: 2, max: 7 }),
  lostReleases: fc.constantFrom(0, 0.1, 0.3),
  lostEnables: fc.constantFrom(0, 0.1, 0.3),
  alive: fc.boolean(),
  cuts: fc.integer({ min: 0, max: 3 }),
  losses: fc.integer({ min: 0, max: 3 }),
  motors: fc.boolean(),
  chatter: fc.constantFrom(0, 0.3),
});
const lateness = fc.array(fc.constantFrom(0, 0, 0, 0, 0, 0, 0, 1, 2), { minLength: 20, maxLength: 40 });

async function holds(given: Batch[]): Promise<void> {
  await inEmptyShop((connection) =>
    feed(connection, given, async () => {
      expect(await verifyDerivation(connection)).toMatchObject({ ok: true });
    }),
  );
}

describe("deriving only what new lines touched", () => {
  test("gives what deriving everything gives, batch after batch", async () => {
    await fc.assert(
      fc.asyncProperty(settings, fc.integer({ min: 3, max: 12 }), lateness, (chosen, count, late) =>
        holds(
          batches(
            chosen,
            count,
            late,
            Array.from({ length: count }, (_, index) => index),
          ),
        ),
      ),
      { seed: 30, numRuns: 4, endOnFailure: true },
    );
  });

  test("also where the batches come in any order", async () => {
    await fc.assert(
      fc.asyncProperty(
        settings,
        fc.integer({ min: 3, max: 6 }),
        lateness,
        fc.array(fc.integer(), { minLength: 12, maxLength: 12 }),
        (chosen, count, late, order) => holds(batches(chosen, count, late, order)),
      ),
      { seed: 31, numRuns: 3, endOnFailure: true },
    );
  });

  test("in a shop whose longest sessions are known it does not fall back on everything", async () => {
    await inEmptyShop(async (connection) => {
      const given = batches(
        { seed: 5, stations: 3, days: 30, lostReleases: 0.1, losses: 2, cuts: 2 },
        60,
        [0],
        Array.from({ length: 60 }, (_, index) => index),
      );
      let renewed = 0;
      const run = connection.run.bind(connection);
      connection.run = ((sql: string, ...rest: []) => {
        if (sql.includes("TABLE old_session")) renewed += 1;
        if (sql === "DELETE FROM session") renewed -= 1;
        return run(sql, ...rest);
      }) as typeof connection.run;
      await feed(connection, given, async () => undefined);
      connection.run = run;
      expect(renewed).toBeGreaterThan(12);
      expect(await verifyDerivation(connection)).toMatchObject({ ok: true });
      expect((await sessions(connection)).length).toBeGreaterThan(300);
    });
  });
});
