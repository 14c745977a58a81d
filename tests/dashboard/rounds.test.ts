// The steward's month: what wants doing, and what is fine, from a log with one of each.
import { existsSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { almanac, emptyFolder } from "../support/almanac.ts";

const folder = emptyFolder();
type Row = { id: string; wantsDoing: boolean; says: string; details: string[] };
let rounds: Map<string, Row>;

beforeAll(async () => {
  writeFileSync(
    join(folder.path, "workshop.yaml"),
    `workshop: {name: Heron Row Workshop, zone: Europe/Lisbon}
roster: roster.csv
machines:
  - {id: planer, name: Planer, stations: [{station: 21}]}
  - {id: saw, name: Saw, stations: [{station: 22}], run_factor: {low: 0.4, best: 0.5, high: 0.6}}
`,
  );
  writeFileSync(
    join(folder.path, "roster.csv"),
    `badge,person,name,role,valid_from,valid_until,machines
7001,p1,Ana Example,member,2024-01-01,2025-04-20,
7002,p2,Bo Example,member,2024-01-01,2027-01-01,
7003,p3,Cy Example,member,2024-01-01,2025-04-01,planer
7003,p3,Cy Example,member,2025-04-01,2027-01-01,planer
`,
  );
  const at = (day: number, station: number, badge: number, sequence: number) =>
    `2025-03-${String(day).padStart(2, "0")}T09:00:00Z,${station},enable,${badge},${sequence},\n2025-03-${String(day).padStart(2, "0")}T10:00:00Z,${station},release,${badge},${sequence + 1},\n`;
  writeFileSync(
    join(folder.path, "log.csv"),
    `time,station,event,badge,sequence,detail\n${at(3, 21, 7001, 1)}${at(10, 22, 7002, 1)}${at(20, 21, 7009, 3)}${at(25, 31, 7001, 1)}nonsense,21,enable,7001,9,\n`,
  );
  await almanac(folder.path, ["ingest", "log.csv"]);
  const { json } = await almanac(folder.path, ["rounds", "--json"]);
  rounds = new Map((json.rounds as Row[]).map((row) => [row.id, row]));
});
afterAll(folder.remove);

test.each([
  ["stations", true, "1 station of the log belongs to no machine; name it on Setup."],
  ["badges", true, "1 badge of the last month is not on the roster."],
  ["clocks", false, "no stamp of the last month had to be put right."],
  ["permissions", true, "1 permission runs out within 45 days, or did so last month."],
  ["backup", true, "none was ever made; almanac backup makes one and reads it back whole."],
  ["rejects", true, "1 line stands rejected, for 1 reason; a mended profile reads them again."],
])("%s: wants doing %s", (id, wantsDoing, says) => {
  expect(rounds.get(id)).toMatchObject({ wantsDoing, says });
});

test("says which: the station, the person whose permission has no successor, the machine without a factor", () => {
  expect(rounds.get("stations")?.details).toEqual(["station 31: 1 session, last on 2025-03-25"]);
  expect(rounds.get("permissions")?.details).toEqual(["Ana Example: until 2025-04-20"]);
  expect(rounds.get("readings")?.details.join()).toMatch(/planer/);
  expect(rounds.get("readings")?.details.join()).not.toMatch(/saw/);
});

test("a backup made is told with its age, and by people in words", async () => {
  const { code } = await almanac(folder.path, ["backup", "copy.almanac"]);
  expect([code, existsSync(join(folder.path, "copy.almanac"))]).toEqual([0, true]);
  const { out } = await almanac(folder.path, ["rounds", "--as-of", "now"]);
  expect(out).toMatch(/^fine {3}Backup: the last is of \d{4}-\d\d-\d\d, 0 days old; it was read back whole when it was made\.$/m);
  expect(out).toMatch(/^to do {2}Stations: /m);
});
