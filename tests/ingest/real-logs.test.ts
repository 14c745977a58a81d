// Logs from elsewhere, accounted for line by line. Their counts are those of the source notes beside them.
import { join } from "node:path";
import { afterEach, beforeEach, expect, test } from "vitest";
import { loadProfile } from "../../shared/profile.ts";
import { type Bench, counts, ingestPath, openBench, rows } from "./logs.ts";

const real = new URL("../../sample-logs/real/", import.meta.url).pathname;
let bench: Bench;
beforeEach(async () => {
  bench = await openBench();
});
afterEach(() => bench.close());

test("the workplace charging log is rejected to the last line for its years, with a reason that says what would do", async () => {
  const folder = join(real, "workplace-charging");
  const profile = loadProfile(join(folder, "profile.yaml"));
  const account = await ingestPath(bench, "charging.csv", join(folder, "station_data_dataverse.csv"), { profile });
  expect(counts(account)).toEqual({ lines: 3395, stored: 0, duplicates: 0, ignored: 0, blank: 0, rejected: 3395, repaired: 0 });
  const reasons = await rows(
    bench,
    "SELECT count(*)::int AS n, count(DISTINCT line)::int AS lines, min(field) AS field, any_value(reason) AS reason FROM reject",
  );
  expect(reasons[0]).toMatchObject({ n: 3395, lines: 3395, field: "start" });
  expect(reasons[0]?.reason).toMatch(/^start "00\d\d-.*" is before 2000 \(earliest\).*add_years/);
});

test("with two thousand years added every one of its lines is stored and counted as repaired, its original text kept", async () => {
  const folder = join(real, "workplace-charging");
  const profile = loadProfile(join(folder, "profile-repaired.yaml"));
  const account = await ingestPath(bench, "charging.csv", join(folder, "station_data_dataverse.csv"), { profile });
  expect(counts(account)).toEqual({
    lines: 3395,
    stored: 3395,
    duplicates: 0,
    ignored: 0,
    blank: 0,
    rejected: 0,
    repaired: 3395,
  });
  // The oracle is the file's own column chargeTimeHrs.
  const hours = await rows(
    bench,
    `SELECT max(abs(epoch(finished_at - started_at) / 3600 - string_split(original, ',')[8]::DOUBLE)) AS worst, count(*)::int AS n FROM stretch`,
  );
  expect(hours[0]?.n).toBe(3395);
  expect(Number(hours[0]?.worst)).toBeLessThan(0.001);
});

test("the public charging log is stored whole, once, and its hours are those of its own duration column", async () => {
  const folder = join(real, "public-charging");
  const profile = loadProfile(join(folder, "profile.yaml"));
  const path = join(folder, "charging_processes.csv");
  const account = await ingestPath(bench, "a.csv", path, { profile });
  expect(counts(account)).toEqual({ lines: 17521, stored: 17521, duplicates: 0, ignored: 0, blank: 0, rejected: 0, repaired: 0 });
  const again = await ingestPath(bench, "b.csv", path, { profile });
  expect(counts(again)).toEqual({ lines: 17521, stored: 0, duplicates: 17521, ignored: 0, blank: 0, rejected: 0, repaired: 0 });
});
