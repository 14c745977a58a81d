// A member of the board who keeps every answer, knows the rules word for word, and wants a count under five.
//
// First on cells made up by the hundred: whatever a hidden cell held, from nobody to four, every answer is the same to the letter,
// so that no arithmetic over answers can tell. Then the same through the questions to a store. Beside it a plain attacker who
// solves sums shows that the usual way, hiding small cells but telling true totals, would not have held.
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { calendarForBoard, hoursForBoard, machinesForBoard, occupancyForBoard } from "../../dashboard/access/board/answers.ts";
import { boardMonths, boardTotals, fewestShown, type MonthCell } from "../../dashboard/access/board/cells.ts";
import type { Desk } from "../../dashboard/commands/command.ts";
import { addMachines, addSessions, openShop, type Shop } from "../hours/shop.ts";

interface Use {
  sessions: number;
  members: number;
}

const machines = [
  { machine: "saw", drivers: [] },
  { machine: "planer", drivers: [] },
  { machine: "lathe", drivers: [] },
  { machine: "dust", drivers: ["saw", "planer"] },
];
const driven = "dust";
const months = ["2025-01", "2025-02", "2025-03", "2025-04"];

/** What each machine that people use had in each month. */
type World = Map<string, Use>;
const keyOf = (machine: string, month: string) => `${machine} ${month}`;

const hoursOf = (hours: number) => ({ low: hours, best: hours, high: hours });

function cellsOf(world: World): MonthCell[] {
  return machines.flatMap(({ machine, drivers }) =>
    months.map((month): MonthCell => {
      const span = { machine, from: `${month}-01T00:00:00Z`, until: `${month}-28T00:00:00Z` };
      if (machine === driven) {
        const sessions = drivers.reduce((sum, driver) => sum + world.get(keyOf(driver, month))!.sessions, 0);
        return { ...span, sessions: null, starts: sessions, members: null, enabledHours: hoursOf(sessions * 0.75) };
      }
      const { sessions, members } = world.get(keyOf(machine, month))!;
      return { ...span, sessions, starts: sessions, members, enabledHours: hoursOf(sessions * 0.75) };
    }),
  );
}

/** Every answer about use that the board can get, to the letter. */
const everyAnswer = (world: World): string => {
  const rows = boardMonths(cellsOf(world), machines);
  return JSON.stringify([rows, boardTotals(rows)]);
};

const use = fc
  .record({ members: fc.integer({ min: 0, max: 9 }), more: fc.integer({ min: 0, max: 6 }) })
  .map(({ members, more }): Use => ({ members, sessions: members === 0 ? 0 : members + more }));
const used = machines
  .filter(({ machine }) => machine !== driven)
  .flatMap(({ machine }) => months.map((month) => keyOf(machine, month)));
const world = fc.tuple(...used.map(() => use)).map((uses): World => new Map(used.map((key, i) => [key, uses[i]!])));

const isSmall = ({ members, sessions }: Use) => members < fewestShown || sessions < fewestShown;

/** All that a hidden cell could hold: every count of members under five, with as many sessions or more. */
const possible: Use[] = [
  { members: 0, sessions: 0 },
  ...[1, 2, 3, 4].flatMap((members) => [members, members + 1, members + 7].map((sessions) => ({ members, sessions }))),
];

/** Solves sums of whole numbers by their bounds, until nothing changes; gives what it has cornered. */
function cornered(sums: { parts: string[]; total: number }[], bounds: Map<string, [number, number]>): string[] {
  for (let hasChanged = true; hasChanged; ) {
    hasChanged = false;
    for (const { parts, total } of sums) {
      for (const part of parts) {
        const others = parts.filter((other) => other !== part).map((other) => bounds.get(other)!);
        const [low, high] = bounds.get(part)!;
        const least = Math.max(low, total - others.reduce((sum, [, most]) => sum + most, 0));
        const most = Math.min(high, total - others.reduce((sum, [atLeast]) => sum + atLeast, 0));
        if (least > low || most < high) {
          bounds.set(part, [least, most]);
          hasChanged = true;
        }
      }
    }
  }
  return [...bounds].filter(([, [low, high]]) => low === high).map(([part]) => part);
}

const many = 10_000;

describe("with every answer in hand", () => {
  it("nobody tells what a hidden month held: from nobody to four, all answers are the same to the letter", () => {
    let tried = 0;
    fc.assert(
      fc.property(world, (truth) => {
        const answers = everyAnswer(truth);
        for (const [key, held] of truth) {
          if (!isSmall(held)) continue;
          for (const other of possible) {
            expect(everyAnswer(new Map(truth).set(key, other))).toBe(answers);
            tried += 1;
          }
        }
      }),
      { seed: 20250101, numRuns: 80 },
    );
    expect(tried).toBeGreaterThan(3_000);
  });

  it("nor of all hidden months together", () => {
    fc.assert(
      fc.property(
        world,
        fc.array(fc.constantFrom(...possible), { minLength: used.length, maxLength: used.length }),
        (truth, others) => {
          const changed = new Map([...truth].map(([key, held], i) => [key, isSmall(held) ? others[i]! : held]));
          expect(everyAnswer(changed)).toBe(everyAnswer(truth));
        },
      ),
      { seed: 20250102, numRuns: 300 },
    );
  });

  it("while a month that is shown tells what it holds", () => {
    fc.assert(
      fc.property(world, (truth) => {
        for (const row of boardMonths(cellsOf(truth), machines)) {
          if (row.machine === driven) continue;
          const held = truth.get(keyOf(row.machine, row.from.slice(0, 7)))!;
          if (isSmall(held))
            expect(row).toMatchObject({
              suppressed: true,
              sessions: null,
              starts: null,
              members: null,
              enabledHours: hoursOf(null as never),
            });
          else expect(row).toMatchObject({ suppressed: false, sessions: held.sessions, members: held.members });
        }
      }),
      { seed: 20250103, numRuns: 100 },
    );
  });

  it("no figure that is given is a count under five", () => {
    fc.assert(
      fc.property(world, (truth) => {
        const rows = boardMonths(cellsOf(truth), machines);
        for (const row of [...rows, ...boardTotals(rows)])
          for (const count of [row.sessions, row.starts, row.members, row.openSessions])
            expect(count === null || count >= fewestShown).toBe(true);
      }),
      { seed: 20250104, numRuns: 100 },
    );
  });

  it("a solver of sums corners nothing here, and would have where small cells are hidden beside true totals", () => {
    let here = 0;
    let usually = 0;
    fc.assert(
      fc.property(world, (truth) => {
        const rows = boardMonths(cellsOf(truth), machines).filter(({ machine }) => machine !== driven);
        const boundsHere = new Map(
          rows
            .filter((row) => row.suppressed)
            .map((row): [string, [number, number]] => [keyOf(row.machine, row.from), [0, many]]),
        );
        const sumsHere = boardTotals(rows).map(({ machine, sessions }) => {
          const shown = rows.filter((row) => row.machine === machine && !row.suppressed);
          return { parts: [] as string[], total: (sessions ?? 0) - shown.reduce((sum, row) => sum + row.sessions!, 0) };
        });
        for (const { total } of sumsHere) expect(total).toBe(0);
        here += cornered(sumsHere, boundsHere).length;

        const isHidden = (key: string) => truth.get(key)!.sessions < fewestShown;
        const bounds = new Map(used.filter(isHidden).map((key): [string, [number, number]] => [key, [0, fewestShown - 1]]));
        const sums = machines
          .filter(({ machine }) => machine !== driven)
          .map(({ machine }) => {
            const keys = months.map((month) => keyOf(machine, month));
            const parts = keys.filter(isHidden);
            return { parts, total: parts.reduce((sum, key) => sum + truth.get(key)!.sessions, 0) };
          });
        usually += cornered(sums, bounds).length;
      }),
      { seed: 20250105, numRuns: 200 },
    );
    expect(here).toBe(0);
    expect(usually).toBeGreaterThan(100);
  });

  it("a driven machine gives no driver away", () => {
    const truth: World = new Map(used.map((key) => [key, { members: 6, sessions: 8 }]));
    truth.set(keyOf("saw", "2025-02"), { members: 2, sessions: 3 });
    const rows = boardMonths(cellsOf(truth), machines);
    expect(rows.filter(({ machine }) => machine === driven).map((row) => row.starts)).toEqual([16, null, 16, 16]);
  });

  it("machines that drive each other in a circle hide each other", () => {
    const round = [
      { machine: "saw", drivers: ["dust"] },
      { machine: "dust", drivers: ["saw"] },
    ];
    const full = new Map(used.map((key) => [key, { members: 6, sessions: 8 }]));
    expect(boardMonths(cellsOf(full), round).every((row) => row.suppressed)).toBe(true);
  });
});

describe("through the questions to a store", () => {
  let shop: Shop;
  const zone = "Europe/Lisbon";
  beforeAll(async () => {
    shop = await openShop();
    await addMachines(shop.connection, [
      { machine: "saw", group: "saw", room: "wood" },
      { machine: "lathe-1", group: "lathe", room: "metal" },
      { machine: "lathe-2", group: "lathe", room: "metal" },
      { machine: "dust", room: "wood", kind: "driven" },
    ]);
    await shop.connection.run("INSERT INTO machine_driver VALUES ('dust', 'saw', 1)");
    await shop.connection.run(
      "INSERT INTO alive_stretch (station, first_at, last_at, signs, longest_gap_seconds) VALUES ('saw', '2025-01-05T08:00:00Z', '2025-04-02T08:00:00Z', 9, 60)",
    );
    await shop.connection.run(
      "INSERT INTO opening VALUES ('2025-01-01T00:00:00Z', '2025-04-01T00:00:00Z', 'member', '2025-01-01')",
    );
  });
  afterAll(() => shop.close());

  const people = ["a", "b", "c", "d", "e", "f", "g", "h"];
  const stations = ["saw", "lathe-1", "lathe-2"];
  const spans = ["2025-01", "2025-02", "2025-03"];

  /** A full round of questions takes a second; the hundreds are tried above. */
  const fewOfPossible: Use[] = [
    { members: 0, sessions: 0 },
    { members: 1, sessions: 1 },
    { members: 2, sessions: 3 },
    { members: 4, sessions: 11 },
  ];

  /** Writes a month of a machine: so many members, one session after the other, on the days after the sixth. */
  const fill = (machine: string, month: string, { members, sessions }: Use) =>
    addSessions(
      shop.connection,
      Array.from({ length: sessions }, (_, i) => {
        const day = String(7 + (i % 20)).padStart(2, "0");
        const hour = String(9 + ((stations.indexOf(machine) + i) % 8)).padStart(2, "0");
        return {
          machine,
          badge: people[i % members]!,
          start: `${month}-${day}T${hour}:00:00Z`,
          end: `${month}-${day}T${hour}:50:00Z`,
        };
      }),
    );
  const empty = (machine: string, month: string) =>
    shop.connection.run("DELETE FROM session WHERE machine = $machine AND strftime(started_at, '%Y-%m') = $month", {
      machine,
      month,
    });

  async function answers(): Promise<string> {
    const desk = {
      connection: shop.connection,
      workshop: { workshop: { workshop: { name: "Heron Row" }, privacy: { badges: "hashed" } } },
      span: { since: undefined, until: undefined, asOf: new Date("2025-04-10T00:00:00Z"), zone },
    } as unknown as Desk;
    const within = (since: string, until: string) => ({
      ...desk,
      span: { ...desk.span, since: new Date(since), until: new Date(until) },
    });
    const oneMonth = within("2025-02-01T00:00:00Z", "2025-03-01T00:00:00Z");
    const shiftedByDays = within("2025-01-20T10:00:00Z", "2025-03-28T10:00:00Z");
    return JSON.stringify([
      await hoursForBoard(desk, "month"),
      await hoursForBoard(desk, "machine"),
      await occupancyForBoard(desk),
      await machinesForBoard(desk),
      await hoursForBoard(oneMonth, "machine", "saw"),
      await hoursForBoard(shiftedByDays, "machine"),
      await occupancyForBoard(shiftedByDays),
      await calendarForBoard(desk),
    ]);
  }

  it("every content of a hidden month gives the same answers to the letter, and shown months tell theirs", async () => {
    const big = { members: 6, sessions: 9 };
    const small: Record<string, Use> = {
      "saw 2025-02": { members: 3, sessions: 11 },
      "lathe-2 2025-03": { members: 1, sessions: 1 },
    };
    for (const machine of stations) for (const month of spans) await fill(machine, month, small[keyOf(machine, month)] ?? big);
    const before = await answers();
    const seen = JSON.parse(before);
    expect(
      seen[0].list.rows
        .filter((row: MonthCell & { suppressed: boolean }) => row.suppressed)
        .map((row: MonthCell) => keyOf(row.machine, row.from.slice(0, 7))),
    ).toEqual(["saw 2025-02", "lathe-2 2025-03", "dust 2025-02"]);
    expect(seen[0].list.rows.find((row: MonthCell) => row.machine === "saw")).toMatchObject({
      sessions: 9,
      members: 6,
      starts: 9,
      enabledHours: hoursOf(7.5),
    });
    expect(seen[2].list.rows).toMatchObject([
      { group: "saw", monthsShown: 2, monthsHeldBack: 1, peak: null, hoursByInUse: [], suppressed: true },
      { group: "lathe", monthsShown: 2, monthsHeldBack: 1, fullShare: expect.any(Number) },
    ]);
    expect(seen[2].head.shop).toMatchObject({ monthsShown: 1, monthsHeldBack: 2 });

    for (const key of Object.keys(small)) {
      const [machine = "", month = ""] = key.split(" ");
      for (const other of fewOfPossible) {
        await empty(machine, month);
        await fill(machine, month, other);
        expect(await answers()).toBe(before);
      }
    }
    await empty("saw", "2025-01");
    await fill("saw", "2025-01", { members: 7, sessions: 10 });
    expect(await answers()).not.toBe(before);
  }, 240_000);

  it("the month that is not over yet, and one the log doesn't cover to its end, change nothing", async () => {
    const before = await answers();
    await fill("saw", "2025-04", { members: 6, sessions: 30 });
    expect(await answers()).toBe(before);
  });
});
