// A published log of charging posts, locations with several posts as groups: the ladder, and the hours for which all posts were taken,
// against a direct count from the rows. Where they come from stands in sample-logs/real/public-charging/SOURCE.md.
import { readFileSync } from "node:fs";
import { parse } from "csv-parse/sync";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { measureDemand } from "../../analytics/demand/measure.ts";
import { occupancy } from "../../analytics/index.ts";
import { addMachines, addSessions, openShop, type Shop } from "../hours/shop.ts";

interface Post {
  location: string;
  machine: string;
  start: number;
  end: number;
}

const utc = (stamp: string): number => Date.parse(`${stamp.replace(" ", "T")}Z`);
const rows = parse<Record<string, string>>(
  readFileSync(new URL("../../sample-logs/real/public-charging/charging_processes.csv", import.meta.url)),
  { columns: true },
);
const posts: Post[] = rows.map((row) => ({
  location: `location-${row.location_id!}`,
  machine: `post-${row.charger_id!}`,
  start: utc(row.start_time!),
  end: utc(row.end_time!),
}));
const from = Math.min(...posts.map(({ start }) => start));
const until = Math.max(...posts.map(({ end }) => end));

const machinesOf = new Map<string, Set<string>>();
for (const { location, machine } of posts) machinesOf.set(location, (machinesOf.get(location) ?? new Set()).add(machine));
const several = [...machinesOf].filter(([, machines]) => machines.size > 1).map(([location]) => location);

/** Hours by how many sessions run at a location, and those with every post taken, second by second of change. */
function counted(location: string): { byInUse: number[]; full: number } {
  const own = posts.filter((post) => post.location === location);
  const units = machinesOf.get(location)!.size;
  const times = [...new Set([from, until, ...own.flatMap(({ start, end }) => [start, end])])].sort((a, b) => a - b);
  const byInUse: number[] = [];
  let full = 0;
  for (const [i, time] of times.slice(0, -1).entries()) {
    const length = (times[i + 1]! - time) / 3_600_000;
    const running = own.filter(({ start, end }) => start <= time && end > time);
    byInUse[running.length] = (byInUse[running.length] ?? 0) + length;
    if (new Set(running.map(({ machine }) => machine)).size === units) full += length;
  }
  return { byInUse: Array.from(byInUse, (hours) => hours ?? 0), full };
}

const span = { since: new Date(from), until: new Date(until), asOf: new Date(until), zone: "UTC" };

describe("posts in the street, by location", () => {
  let shop: Shop;
  beforeAll(async () => {
    shop = await openShop();
    const machines = several.flatMap((location) =>
      [...machinesOf.get(location)!].map((machine) => ({ machine, group: location })),
    );
    await addMachines(shop.connection, machines);
    const known = new Set(machines.map(({ machine }) => machine));
    await addSessions(
      shop.connection,
      posts
        .filter(({ machine }) => known.has(machine))
        .map(({ machine, start, end }) => ({
          machine,
          badge: null,
          start: new Date(start).toISOString(),
          end: new Date(end).toISOString(),
        })),
    );
  }, 120_000);
  afterAll(() => shop.close());

  it("has many locations with several posts", () => {
    expect(several.length).toBeGreaterThan(100);
  });

  it("stands on the ladder that a direct count gives", async () => {
    const { groups } = await occupancy(shop.connection, span);
    expect(groups).toHaveLength(several.length);
    for (const { group, hoursByInUse } of groups) {
      const { byInUse } = counted(group);
      for (const [inUse, hours] of byInUse.entries())
        expect(Math.abs((hoursByInUse.find((rung) => rung.inUse === inUse)?.hours ?? 0) - hours), group).toBeLessThan(1e-6);
    }
  }, 120_000);

  it("was taken in whole for as long as a direct count says, and every turn is one session", async () => {
    const measured = await measureDemand(shop.connection, span);
    expect(measured!.groups).toHaveLength(several.length);
    const sum = (values: Float64Array) => values.reduce((total, one) => total + one, 0);
    for (const { group, cells } of measured!.groups) {
      expect(Math.abs(sum(cells.fullHours) - counted(group).full), group).toBeLessThan(1e-6);
      const open = sum(cells.fullHours) + sum(cells.freeHours) + sum(cells.windowHours) + sum(cells.outHours);
      expect(Math.abs(open - (until - from) / 3_600_000), group).toBeLessThan(1e-6);
      const turns = sum(cells.freeTurns) + sum(cells.handedTurns) + sum(cells.otherTurns);
      // Who sits down at the very last instant begins no turn within the span.
      expect(turns, group).toBe(posts.filter(({ location, start }) => location === group && start < until).length);
    }
  }, 120_000);
});
