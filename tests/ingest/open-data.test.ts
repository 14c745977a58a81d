// Open data that may not be handed on with this project: read where a copy lies beside it (ALMANAC_DATASETS names another folder).
// Counts are those of the source notes beside the data.
import { existsSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { counts, ingestPath, openBench, profileOf, rows } from "./logs.ts";

const folder = process.env.ALMANAC_DATASETS ?? new URL("../../../shared/datasets/", import.meta.url).pathname;
const isThere = existsSync(folder);
if (!isThere) console.warn(`skipped: no open data in ${folder}`);

describe.skipIf(!isThere)("open data", () => {
  test("proximity cards (vast2016-prox): 29,763 readings, 53 of them exact duplicates", async () => {
    const bench = await openBench();
    const profile = profileOf(
      "profile: prox\nformat: csv\nends: badge-elsewhere\nfields: {time: timestamp, station: zone, badge: prox-id, detail: floor}\n",
    );
    const account = await ingestPath(bench, "prox.csv", join(folder, "vast2016-prox/proxOut-MC2.csv"), { profile });
    expect(counts(account)).toEqual({
      lines: 29763,
      stored: 29710,
      duplicates: 53,
      ignored: 0,
      blank: 0,
      rejected: 0,
      repaired: 0,
    });
    expect(await rows(bench, "SELECT count(DISTINCT badge)::int AS cards, min(kind) AS kind FROM event")).toEqual([
      { cards: 122, kind: "enable" },
    ]);
    bench.close();
  });

  // A run time of -1 is an unknown one: told as a row without finish where the profile says so, else a finish before the start.
  test("jobs (hpc-swf): 3,170 rows, 25 unknown run times", async () => {
    const bench = await openBench();
    const yaml = (nulls: string): string =>
      `profile: jobs\nformat: csv\ndelimiter: spaces\nheader: false\ncomment: ";"\nrows: sessions\n${nulls}fields:\n  start: {column: "2", unit: s, origin: "2002-07-28"}\n  duration: {column: "4"}\n  station: "5"\n  badge: "12"\n  sequence: "1"\n`;
    const path = join(folder, "hpc-swf/hpc2n_first7183_excerpt.swf");
    const strict = await ingestPath(bench, "jobs.swf", path, { profile: profileOf(yaml("")) });
    expect(counts(strict)).toEqual({ lines: 3171, stored: 3145, duplicates: 0, ignored: 0, blank: 1, rejected: 25, repaired: 0 });
    const knowing = await ingestPath(bench, "jobs.swf", path, { profile: profileOf(yaml('null_values: ["-1"]\n')) });
    expect(counts(knowing)).toMatchObject({ lines: 3171, stored: 25, duplicates: 3145, blank: 1, rejected: 0 });
    expect(await rows(bench, "SELECT count(*)::int AS n FROM stretch WHERE finished_at IS NULL")).toEqual([{ n: 25 }]);
    expect(await rows(bench, "SELECT count(*)::int AS n FROM reject")).toEqual([{ n: 0 }]);
    bench.close();
  });

  test("failures of a simulated fleet (pdm-azure) as a log of events: every line stored", async () => {
    const bench = await openBench();
    const profile = profileOf(
      "profile: errors\nformat: csv\nfields: {time: datetime, station: machineID, event: {column: errorID, map: {error1: change, error2: change, error3: change, error4: change, error5: change}}, detail: errorID}\n",
    );
    const account = await ingestPath(bench, "errors.csv", join(folder, "pdm-azure/PdM_errors.csv"), { profile });
    expect(counts(account)).toMatchObject({ lines: 3919, stored: 3919, duplicates: 0, rejected: 0 });
    bench.close();
  });
});
