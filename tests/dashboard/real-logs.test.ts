// Two real logs through the built command line, held against their own duration columns.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { parse } from "csv-parse/sync";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { almanac, emptyFolder, root } from "../support/almanac.ts";

type Line = Record<string, string>;
const real = (folder: string, file: string) => join(root, "sample-logs/real", folder, file);
const linesOf = (folder: string, file: string): Line[] => parse(readFileSync(real(folder, file)), { columns: true });

const sumsBy = (lines: Line[], station: string, hours: (line: Line) => number): Map<string, number> => {
  const sums = new Map<string, number>();
  for (const line of lines) sums.set(line[station] ?? "", (sums.get(line[station] ?? "") ?? 0) + hours(line));
  return sums;
};

// Source: Asensio, Apablaza, Lawson & Walsh 2020, doi:10.7910/DVN/NFPQLW (CC0); its column chargeTimeHrs.
describe("a year of workplace charging", () => {
  const folder = emptyFolder();
  const log = real("workplace-charging", "station_data_dataverse.csv");
  const lines = linesOf("workplace-charging", "station_data_dataverse.csv");
  const at = (...args: string[]) =>
    almanac(folder.path, [...args, "--workshop", real("workplace-charging", "workshop.yaml"), "--json"]);
  afterAll(folder.remove);

  test("years written 0014 and 0015 are rejected, each line with its reason", async () => {
    const { json } = await at(
      "ingest",
      log,
      "--profile",
      real("workplace-charging", "profile.yaml"),
      "--store",
      "unmended.duckdb",
    );
    expect(json.files[0]).toMatchObject({ lines: 3395, stored: 0, duplicates: 0, ignored: 0, blank: 0, rejected: 3395 });
    const { json: told } = await at("rejects", "--store", "unmended.duckdb");
    expect(told.rejects).toHaveLength(3395);
    expect(new Set(told.rejects.map(({ field }: { field: string }) => field))).toEqual(new Set(["start"]));
    expect(told.rejects[0].reason).toMatch(/0014-11-18.*(earliest|2000)/);
  });

  test("with add_years every line is stored, repaired; hours equal chargeTimeHrs; 19 at once at most", async () => {
    const { json } = await at("ingest", log, "--profile", real("workplace-charging", "profile-repaired.yaml"));
    expect(json.files[0]).toMatchObject({ lines: 3395, stored: 3395, repaired: 3395, rejected: 0 });
    expect(json.sessions).toBe(3395);
    const hours = await at("hours");
    const ours = new Map<string, number>(
      hours.json.rows.map((row: { machine: string; enabledHours: { best: number } }) => [row.machine, row.enabledHours.best]),
    );
    const theirs = sumsBy(lines, "stationId", (line) => Number(line.chargeTimeHrs));
    expect(theirs.size).toBe(105);
    for (const [station, sum] of theirs) expect(Math.abs((ours.get(`station:${station}`) ?? 0) - sum)).toBeLessThan(0.001);
    const { json: full } = await at("sessions");
    expect(full.sessions.every(({ ended }: { ended: string }) => ended === "released")).toBe(true);
  });

  test("19 sessions at once at the most", async () => {
    const { json } = await at("occupancy");
    expect(json.shop.peak).toBe(19);
  });
});

// Source: Adenaw & Krapf, World Electric Vehicle Journal 13(4) 56; Stromnetz Hamburg, dl-de/by-2-0; its column duration.
describe("a month of public charging", () => {
  const folder = emptyFolder();
  const at = (...args: string[]) =>
    almanac(folder.path, [...args, "--workshop", real("public-charging", "workshop.yaml"), "--json"]);
  beforeAll(async () => {
    const { json } = await at(
      "ingest",
      real("public-charging", "charging_processes.csv"),
      "--profile",
      real("public-charging", "profile.yaml"),
    );
    expect(json).toMatchObject({ sessions: 17_521, files: [{ lines: 17_521, stored: 17_521 }] });
  });
  afterAll(folder.remove);

  test("hours equal the duration column", async () => {
    const { json } = await at("hours");
    const theirs = sumsBy(
      linesOf("public-charging", "charging_processes.csv"),
      "charger_id",
      (line) => Number(line.duration) / 3600,
    );
    expect(theirs.size).toBe(797);
    const ours = new Map<string, number>(
      json.rows.map((row: { machine: string; enabledHours: { best: number } }) => [row.machine, row.enabledHours.best]),
    );
    for (const [station, sum] of theirs) expect(Math.abs((ours.get(`station:${station}`) ?? 0) - sum)).toBeLessThan(0.001);
  });

  test("213 sessions at once at the most", async () => {
    const { json } = await at("occupancy");
    expect(json.shop.peak).toBe(213);
  });
});
