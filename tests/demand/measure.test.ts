// What counts as a turn, and which part of the open time tells a rate: small shops written by hand, every minute known.
import type { DuckDBConnection } from "@duckdb/node-api";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { randomFrom } from "../../analytics/demand/chance.ts";
import { answerDemand, demandModel } from "../../analytics/demand/index.ts";
import { drawnLengths, turnLengths } from "../../analytics/demand/lengths.ts";
import { type MeasuredGroup, measureDemand } from "../../analytics/demand/measure.ts";
import { refusalTrend } from "../../analytics/demand/members.ts";
import { changedUnits, withOutage } from "../../analytics/demand/what-if.ts";
import { dispersionOf, returningShare } from "../../analytics/demand/wishes.ts";
import { addMachines, addSessions, openShop, type Shop } from "../hours/shop.ts";

let shop: Shop;
let connection: DuckDBConnection;
beforeEach(async () => {
  shop = await openShop();
  connection = shop.connection;
});
afterEach(() => shop.close());

/** Monday 6 January 2025, open from 10 to 14 o'clock. */
const at = (clock: string) => `2025-01-06T${clock}:00Z`;
const span = {
  since: new Date(at("00:00")),
  until: new Date("2025-01-07T00:00:00Z"),
  asOf: new Date("2025-01-07T00:00:00Z"),
  zone: "UTC",
};

async function openHours(from: string, until: string): Promise<void> {
  await connection.run("INSERT INTO opening VALUES ($from::timestamptz, $until::timestamptz, 'member', '2025-01-06')", {
    from: at(from),
    until: at(until),
  });
}

/** A sign that the log goes on until that evening. */
async function logGoesOn(): Promise<void> {
  await connection.run(
    "INSERT INTO event (reading_id, line, occurred_at, station, kind) VALUES (1, 1, $at::timestamptz, 'door', 'change')",
    { at: at("23:30") },
  );
}

async function member(badge: string, person: string, role = "member"): Promise<void> {
  await connection.run("INSERT INTO roster VALUES ($badge, $person, NULL, $role, NULL, NULL, '[]')", { badge, person, role });
}

const sum = (values: Float64Array) => values.reduce((total, one) => total + one, 0);

async function only(): Promise<{
  group: MeasuredGroup;
  free: number;
  full: number;
  window: number;
  last: number;
  out: number;
  freeTurns: number;
  handed: number;
  other: number;
}> {
  const measured = await measureDemand(connection, span);
  const group = measured!.groups[0]!;
  const { cells } = group;
  const minutes = (hours: Float64Array) => Math.round(sum(hours) * 60);
  return {
    group,
    free: minutes(cells.freeHours),
    full: minutes(cells.fullHours),
    window: minutes(cells.windowHours),
    last: minutes(cells.lastHours),
    out: minutes(cells.outHours),
    freeTurns: sum(cells.freeTurns),
    handed: sum(cells.handedTurns),
    other: sum(cells.otherTurns),
  };
}

const use = (badge: string, start: string, end: string, machine = "saw") => ({ machine, badge, start: at(start), end: at(end) });

describe("turns", () => {
  beforeEach(async () => {
    await openHours("10:00", "14:00");
    await logGoesOn();
    await addMachines(connection, [{ machine: "saw", group: "saw" }]);
  });

  it("join one person's sessions with pauses under a quarter of an hour, whatever badge they used", async () => {
    await member("a1", "ada");
    await member("a2", "ada");
    await addSessions(connection, [use("a1", "10:10", "10:20"), use("a2", "10:34", "10:40"), use("a1", "10:56", "11:00")]);
    const told = await only();
    // Two turns: 10:10 to 10:40, and 10:56 to 11:00 after a pause of 16 minutes. The second begins behind the window of the first.
    expect(told.freeTurns + told.handed).toBe(2);
    expect(told.freeTurns).toBe(2);
    // Taken: 30 and 4 minutes. Windows: 15 after each. Last start: 15 before 14:00.
    expect(told).toMatchObject({ full: 34, window: 30, last: 15, out: 0, free: 240 - 34 - 30 - 15 });
  });

  it("end where somebody else takes the unit, and what is taken over at once is a hand-over", async () => {
    await addSessions(connection, [use("a", "10:10", "10:20"), use("b", "10:20", "10:30"), use("a", "10:31", "10:40")]);
    const told = await only();
    expect(told).toMatchObject({ freeTurns: 1, handed: 2, full: 29, window: 1 + 15 });
  });

  it("of maintainers take the unit but are no wish", async () => {
    await member("m", "mo", "maintainer");
    await addSessions(connection, [use("m", "10:10", "10:40"), use("a", "12:00", "12:10")]);
    const told = await only();
    expect(told).toMatchObject({ freeTurns: 1, handed: 0, full: 40 });
  });

  it("begin neither in closed hours nor shortly before locking up, as far as rates go", async () => {
    await addSessions(connection, [use("a", "08:00", "08:20"), use("b", "13:50", "13:58")]);
    const told = await only();
    expect(told).toMatchObject({ freeTurns: 0, handed: 0, other: 1, last: 15, full: 0 });
  });

  it("before the first minute the doors open count as any other", async () => {
    await addSessions(connection, [use("a", "10:00", "10:30")]);
    expect(await only()).toMatchObject({ freeTurns: 1, handed: 0 });
  });

  it("are of no length where nothing was seen, and still turns", async () => {
    await addSessions(connection, [use("a", "11:00", "11:00")]);
    const told = await only();
    expect(told).toMatchObject({ freeTurns: 1, full: 0 });
  });
});

describe("open time", () => {
  it("is full only where every unit in order is taken, and an outage takes units out", async () => {
    await logGoesOn();
    await openHours("10:00", "14:00");
    await addMachines(connection, [
      { machine: "saw-1", group: "saw" },
      { machine: "saw-2", group: "saw" },
    ]);
    await connection.run("INSERT INTO machine_outage VALUES ('saw-2', $from::timestamptz, $until::timestamptz, NULL)", {
      from: at("12:00"),
      until: at("13:00"),
    });
    await addSessions(connection, [
      use("a", "10:30", "11:00", "saw-1"),
      use("b", "10:45", "11:15", "saw-2"),
      use("c", "12:10", "12:30", "saw-1"),
    ]);
    const told = await only();
    // Both taken 10:45 to 11:00; one in order and taken 12:10 to 12:30. Windows behind both.
    expect(told).toMatchObject({ full: 15 + 20, window: 30, last: 15, out: 0, freeTurns: 3 });
  });

  it("with no unit in order is nobody's absence", async () => {
    await logGoesOn();
    await openHours("10:00", "14:00");
    await addMachines(connection, [{ machine: "saw", group: "saw" }]);
    await connection.run("INSERT INTO machine_outage VALUES ('saw', $from::timestamptz, 'infinity', NULL)", {
      from: at("12:00"),
    });
    await addSessions(connection, [use("a", "10:30", "10:40")]);
    const told = await only();
    expect(told).toMatchObject({ full: 10, window: 15, out: 105, last: 15, free: 240 - 145 });
  });

  it("before a machine came is none of its group's", async () => {
    await logGoesOn();
    await openHours("10:00", "14:00");
    await addMachines(connection, [{ machine: "saw", group: "saw", from: at("12:00") }]);
    await addSessions(connection, [use("a", "12:30", "12:40")]);
    const told = await only();
    expect(told.free + told.full + told.window + told.last + told.out).toBe(120);
  });

  it("ends with the log: later days are not open and empty", async () => {
    await openHours("10:00", "14:00");
    await connection.run(
      "INSERT INTO opening VALUES ('2025-01-08 10:00:00+00', '2025-01-08 14:00:00+00', 'member', '2025-01-08')",
    );
    await addMachines(connection, [{ machine: "saw", group: "saw" }]);
    await addSessions(connection, [use("a", "12:30", "13:00")]);
    const measured = await measureDemand(connection, {
      ...span,
      until: new Date("2025-02-01T00:00:00Z"),
      asOf: new Date("2025-02-01T00:00:00Z"),
    });
    expect(measured!.until.toISOString()).toBe("2025-01-06T13:00:00.000Z");
    expect(measured!.schedule.openHours).toBeCloseTo(3, 9);
  });

  it("is cut at local hours, also where the clock is half an hour out", async () => {
    await openHours("10:00", "14:00");
    await addMachines(connection, [{ machine: "saw", group: "saw" }]);
    await addSessions(connection, [use("a", "12:30", "13:00")]);
    const measured = await measureDemand(connection, { ...span, zone: "Asia/Kolkata" });
    // 10:00 to 13:00 UTC is 15:30 to 18:30 there.
    expect([...measured!.schedule.hour]).toEqual([15, 16, 17, 18, 18]);
  });
});

describe("answers", () => {
  it("of an empty log are none, of few turns say so", async () => {
    expect(await demandModel(connection, span, { seed: 1 })).toBeNull();
    await openHours("10:00", "14:00");
    await addMachines(connection, [{ machine: "saw", group: "saw" }]);
    await addSessions(connection, [use("a", "10:30", "10:40")]);
    const model = await demandModel(connection, span, { seed: 1 });
    const { groups, ranking, ties } = answerDemand(model!, { seed: 1, add: 1, purchases: new Map() });
    expect(groups[0]!.arrivalsPerOpenHour).toEqual({ insufficient: { have: 1, need: 10 } });
    expect([ranking, ties]).toEqual([[], []]);
  });

  it("are the same for the same seed; hours of the week add up to the whole", async () => {
    await addMachines(connection, [
      { machine: "saw", group: "saw" },
      { machine: "mill", group: "mill" },
    ]);
    const random = randomFrom(3);
    const start = Date.UTC(2025, 0, 6);
    const stretches = [];
    for (const machine of ["saw", "mill"]) {
      for (let hour = 0.2; hour < 24 * 60; hour += random() * (machine === "saw" ? 3 : 9)) {
        const length = 0.1 + random();
        stretches.push({
          machine,
          badge: `b${Math.floor(random() * 40)}`,
          start: new Date(start + hour * 3_600_000).toISOString(),
          end: new Date(start + (hour + length) * 3_600_000).toISOString(),
        });
        hour += length;
      }
    }
    await addSessions(connection, stretches);
    const asOf = new Date(start + 60 * 86_400_000);
    const purchases = new Map(["saw", "mill"].map((group) => [group, { price: 1_000, lifeYears: 10, needs: [] }]));
    const ask = async () => {
      const model = await demandModel(connection, { asOf, zone: "UTC" }, { seed: 5 });
      return answerDemand(model!, { seed: 5, add: 1, purchases, flips: true, budget: 1_500 });
    };
    const [one, other] = [await ask(), await ask()];
    expect(other).toEqual(one);
    expect(one.ranking[0]).toBe("saw");
    expect(one.budget!.choices[0]!.groups).toEqual(["saw"]);
    for (const { arrivalsPerOpenHour, byHourOfWeek, openHours, withMore, turnedAwayPerMonth, costPerHourGained } of one.groups) {
      if (!("best" in arrivalsPerOpenHour) || !("best" in turnedAwayPerMonth) || !("best" in withMore.turnedAwayPerMonth))
        throw new Error("expected figures");
      const whole = byHourOfWeek.reduce((total, { arrivals, openHours: hours }) => total + arrivals.best * hours, 0);
      expect(Math.abs(whole / openHours - arrivalsPerOpenHour.best)).toBeLessThan(1e-9);
      expect(withMore.turnedAwayPerMonth.best).toBeLessThan(turnedAwayPerMonth.best);
      expect(arrivalsPerOpenHour.low).toBeLessThanOrEqual(arrivalsPerOpenHour.best);
      if (costPerHourGained && "low" in costPerHourGained) expect(costPerHourGained.low).toBeLessThan(costPerHourGained.best);
    }
  });
});

describe("small sums", () => {
  it("lengths: those cut by locking up are only known to be longer", () => {
    // Kaplan and Meier by hand: 1 of 4 ends at 1 h; one is cut at 2 h; the rest of the mass, 3/4, is shared by 3 h and 4 h.
    const { taken } = turnLengths([
      { taken: 1, used: 1, open: 9 },
      { taken: 2, used: 2, open: 2.1 },
      { taken: 3, used: 3, open: 9 },
      { taken: 4, used: 4, open: 9 },
    ]);
    expect([...taken]).toEqual([1, 3, 3, 4]);
    expect(turnLengths([]).taken).toHaveLength(0);
    const all = turnLengths(Array.from({ length: 10 }, (_, i) => ({ taken: i + 1, used: i, open: 99 })));
    expect([...all.taken]).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 10]);
    expect([...drawnLengths(all, randomFrom(1)).taken].every((one) => all.taken.includes(one))).toBe(true);
  });

  it("outages: shorter repairs, one more unit, one month out", () => {
    const unit = { from: Float64Array.of(10, 50), until: Float64Array.of(20, Number.POSITIVE_INFINITY) };
    const [half, more] = changedUnits([unit], { add: 1, repair: 0.5 });
    expect([...half!.until]).toEqual([15, Number.POSITIVE_INFINITY]);
    expect(more!.from).toHaveLength(0);
    const out = withOutage(unit, 18, 30);
    expect([[...out.from], [...out.until]]).toEqual([
      [10, 50],
      [30, Number.POSITIVE_INFINITY],
    ]);
  });

  it("scatter of weeks is 1 where chance alone is at work, and as many times it as they cluster", () => {
    const plain = Array.from({ length: 60 }, (_, i) => ({ turns: i % 2 === 0 ? 10 : 12, expected: 11 }));
    expect(dispersionOf(plain, 6)).toBe(1);
    const clustered = Array.from({ length: 60 }, (_, i) => ({ turns: i % 2 === 0 ? 1 : 21, expected: 11 }));
    expect(dispersionOf(clustered, 6)).toBeCloseTo((60 * (100 / 11)) / 54, 9);
    expect(dispersionOf([], 3)).toBe(1);
    expect(returningShare(0, 0)).toBe(0.25);
  });

  it("refusals: later half against the earlier, nothing under eight", () => {
    expect(refusalTrend([1, 2, 1])).toBeNull();
    const trend = refusalTrend([4, 4, 8, 8])!;
    expect(trend.best).toBeCloseTo(16.5 / 8.5, 12);
    expect(trend.low).toBeLessThan(trend.best);
  });
});
