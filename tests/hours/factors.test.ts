import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { hours, runFactors } from "../../analytics/index.ts";
import { addMachines, addSessions, type MachineRow, openShop, type Shop } from "./shop.ts";

let shop: Shop;
beforeEach(async () => {
  shop = await openShop();
});
afterEach(() => shop.close());

const asked = { zone: "UTC", asOf: new Date("2025-12-31T00:00:00Z") };
const meter = (rows: [string, number][]) =>
  shop.connection.run(`INSERT INTO machine_meter VALUES ${rows.map(([at, h]) => `('saw', '${at}', ${h})`).join(", ")}`);
const machine = (row: Partial<MachineRow> = {}) => addMachines(shop.connection, [{ machine: "saw", ...row }]);

/** Two hours on each day of a month. */
async function use(month: string, days: number, hoursEach = 2): Promise<void> {
  await addSessions(
    shop.connection,
    Array.from({ length: days }, (_, i) => {
      const start = Date.parse(`2025-${month}-${String(i + 1).padStart(2, "0")}T10:00:00Z`);
      return { machine: "saw", start: new Date(start).toISOString(), end: new Date(start + hoursEach * 3_600_000).toISOString() };
    }),
  );
}

describe("run factor", () => {
  it("is the ratio of sums between readings, beside least squares through the origin", async () => {
    await machine({ runFactor: { low: 0.8, best: 0.9, high: 1 } });
    await use("01", 10);
    await use("02", 20);
    await use("03", 5);
    await meter([
      ["2025-01-01 00:00:00Z", 100],
      ["2025-02-01 00:00:00Z", 108],
      ["2025-03-01 00:00:00Z", 130],
      ["2025-04-01 00:00:00Z", 135],
    ]);
    const { factors, questions } = await runFactors(shop.connection, asked);
    const [factor] = factors;
    expect(factor).toMatchObject({ source: "meter", pairs: 3, enabledHours: 70, runHours: 35, questions: [] });
    expect(factor!.factor.best).toBeCloseTo(0.5, 12);
    // Σxy ÷ Σx² = (20·8 + 40·22 + 10·5) ÷ (400 + 1600 + 100).
    expect(factor!.leastSquares!.slope).toBeCloseTo(1090 / 2100, 12);
    expect(factor!.why).toMatch(/ratio of sums is used, not the slope of least squares/);
    expect(questions).toEqual([]);
    const { rows } = await hours(shop.connection, { ...asked, by: "month" });
    expect(rows.map((row) => row.runHours.best)).toEqual([expect.closeTo(10, 9), expect.closeTo(20, 9), expect.closeTo(5, 9)]);
    for (const { runHours } of rows) {
      expect(runHours.low!).toBeLessThan(runHours.best!);
      expect(runHours.high!).toBeGreaterThan(runHours.best!);
    }
    // A month's own luck weighs less in a longer month.
    const width = (row: (typeof rows)[number]) => (row.runHours.high! - row.runHours.low!) / row.runHours.best!;
    expect(width(rows[1]!)).toBeLessThan(width(rows[2]!));
  });

  it("asks about a falling reading and leaves out what may be wrong", async () => {
    await machine();
    await use("01", 10);
    await use("02", 10);
    await use("03", 10);
    await use("04", 10);
    await meter([
      ["2025-01-01 00:00:00Z", 100],
      ["2025-02-01 00:00:00Z", 110],
      ["2025-03-01 00:00:00Z", 810],
      ["2025-04-01 00:00:00Z", 130],
      ["2025-05-01 00:00:00Z", 140],
    ]);
    const { factors, questions } = await runFactors(shop.connection, asked);
    expect(factors[0]).toMatchObject({ pairs: 2, enabledHours: 40, runHours: 20 });
    expect(questions.map(({ readAt }) => readAt)).toEqual(expect.arrayContaining(["2025-04-01T00:00:00Z"]));
    expect(questions.map(({ text }) => text).join()).toMatch(/new meter.*began again at 0.*misreading/);
    expect((await hours(shop.connection, asked)).notes.join()).toMatch(/fell from 810 h/);
  });

  it("goes by a new meter's own readings once they rise again", async () => {
    await machine();
    await use("01", 10);
    await use("02", 10);
    await use("03", 10);
    await meter([
      ["2025-01-01 00:00:00Z", 900],
      ["2025-02-01 00:00:00Z", 912],
      ["2025-03-01 00:00:00Z", 3],
      ["2025-04-01 00:00:00Z", 15],
    ]);
    const { factors, questions } = await runFactors(shop.connection, asked);
    expect(factors[0]).toMatchObject({ pairs: 2, runHours: 24 });
    expect(questions).toHaveLength(1);
  });

  it("knows nothing of readings after the as-of time", async () => {
    await machine();
    await use("01", 10);
    await use("02", 10);
    await meter([
      ["2025-01-01 00:00:00Z", 0],
      ["2025-02-01 00:00:00Z", 10],
      ["2025-03-01 00:00:00Z", 30],
    ]);
    const { factors } = await runFactors(shop.connection, { ...asked, asOf: new Date("2025-02-15T00:00:00Z") });
    expect(factors[0]).toMatchObject({ pairs: 1, runHours: 10 });
  });

  it("is what was typed where nothing is measured, and that before all where it is fixed", async () => {
    await machine({ runFactor: { low: 0.4, best: 0.5, high: 0.6 } });
    await use("01", 10);
    const { factors } = await runFactors(shop.connection, asked);
    expect(factors[0]).toMatchObject({ source: "typed", factor: { best: 0.5 }, note: null });
    // A triangle from 0.4 to 0.6: a tenth of it lies below 0.4 + √(0.1 · 0.2 · 0.1).
    expect(factors[0]!.factor.low).toBeCloseTo(0.4 + Math.sqrt(0.002), 12);
    expect(factors[0]!.factor.high).toBeCloseTo(0.6 - Math.sqrt(0.002), 12);
    const { rows } = await hours(shop.connection, asked);
    expect(rows[0]!.runHours.best).toBeCloseTo(10, 9);
    expect(rows[0]!.runHours.low).toBeLessThan(20 * (0.4 + Math.sqrt(0.002)));
    await meter([
      ["2025-01-01 00:00:00Z", 0],
      ["2025-02-01 00:00:00Z", 4],
    ]);
    expect((await runFactors(shop.connection, asked)).factors[0]).toMatchObject({ source: "meter" });
    await shop.connection.run("UPDATE machine SET run_factor_fixed = true");
    expect((await runFactors(shop.connection, asked)).factors[0]).toMatchObject({ source: "fixed", factor: { best: 0.5 } });
  });

  it("is 1 with a loud note where nobody said anything", async () => {
    await machine();
    await use("01", 1);
    const answer = await hours(shop.connection, asked);
    expect(answer.rows[0]).toMatchObject({ runHours: { low: 2, best: 2, high: 2 } });
    expect(answer.notes).toEqual([expect.stringMatching(/^saw: run-hours are taken as enabled hours/)]);
  });

  it("leaves motor events as they are, and turns what they do not cover by their ratio", async () => {
    await machine();
    await use("01", 28);
    await use("02", 28);
    await shop.connection.run(`
      INSERT INTO motor SELECT 'saw', 'saw', t, t + INTERVAL 30 MINUTE, t + INTERVAL 30 MINUTE, t + INTERVAL 30 MINUTE, t + INTERVAL 30 MINUTE
      FROM (SELECT unnest(generate_series(TIMESTAMPTZ '2025-02-01 10:30:00Z', TIMESTAMPTZ '2025-02-28 10:30:00Z', INTERVAL 1 DAY)) AS t)`);
    const { rows } = await hours(shop.connection, { ...asked, by: "month" });
    expect(rows[1]!.runHours).toEqual({ low: 14, best: 14, high: 14 });
    expect(rows[0]!.runHours.best).toBeGreaterThan(13);
    expect(rows[0]!.runHours.low).toBeLessThan(rows[0]!.runHours.best!);
    expect((await runFactors(shop.connection, asked)).factors[0]).toMatchObject({ source: "motor" });
  });

  it("takes a few sessions without a motor start for unused ones, many for a silent sensor", async () => {
    await machine();
    await use("01", 15);
    await use("02", 28);
    await use("03", 28);
    await use("04", 3);
    const day = (date: string) =>
      `('saw', 'saw', '${date} 10:30:00Z', '${date} 11:00:00Z', '${date} 11:00:00Z', '${date} 11:00:00Z', '${date} 11:00:00Z')`;
    await shop.connection.run(`INSERT INTO motor VALUES ${["2025-01-10", "2025-01-15", "2025-04-01"].map(day).join(", ")}`);
    const { rows } = await hours(shop.connection, { ...asked, by: "month" });
    // The sensor fell silent at its last stop, an hour before that session's end.
    expect(rows[0]!.runHours.low).toBeGreaterThanOrEqual(1);
    expect(rows[0]!.runHours.best).toBeLessThan(1.2);
    expect(rows[1]!.runHours.best).toBeGreaterThan(0.5);
    expect(rows[3]!.runHours).toEqual({ low: 0.5, best: 0.5, high: 0.5 });
  });

  it("spreads a meter-only machine's hours between its readings, and goes on at its mean rate", async () => {
    await machine({ kind: "meter" });
    await meter([
      ["2025-01-01 00:00:00Z", 10],
      ["2025-02-01 00:00:00Z", 41],
      ["2025-03-01 00:00:00Z", 69],
    ]);
    const { rows } = await hours(shop.connection, {
      ...asked,
      by: "month",
      since: new Date("2025-01-01T00:00:00Z"),
      asOf: new Date("2025-04-01T00:00:00Z"),
    });
    expect(rows.map((row) => [row.sessions, row.enabledHours.best, row.runHours.best])).toEqual([
      [null, null, expect.closeTo(31, 9)],
      [null, null, expect.closeTo(28, 9)],
      [null, null, expect.closeTo(31, 9)],
    ]);
    // What lies between two readings is known as a whole.
    expect(rows[0]!.runHours).toEqual({ low: expect.closeTo(31, 6), best: expect.closeTo(31, 9), high: expect.closeTo(31, 6) });
    expect(rows[2]!.runHours.low!).toBeLessThan(31);
  });

  it("counts a machine that is always on from its first day, without its outages", async () => {
    await addSessions(shop.connection, [{ machine: "station:1", start: "2025-01-01T00:00:00Z", end: "2025-01-01T01:00:00Z" }]);
    await addMachines(shop.connection, [{ machine: "air", kind: "always-on", from: "2025-01-02T00:00:00Z" }]);
    await shop.connection.run(
      "INSERT INTO machine_outage VALUES ('air', '2025-01-03 00:00:00Z', '2025-01-04 12:00:00Z', NULL), ('air', '2025-01-04 00:00:00Z', '2025-01-05 00:00:00Z', NULL)",
    );
    const { rows } = await hours(shop.connection, { ...asked, asOf: new Date("2025-01-10T00:00:00Z") });
    expect(rows[0]).toMatchObject({
      machine: "air",
      sessions: null,
      starts: 2,
      enabledHours: { best: 144 },
      runHours: { best: 144 },
    });
  });
});
