import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { UsageError } from "../../shared/errors.ts";
import type { Problem } from "../../shared/problem.ts";
import { loadWorkshop, problemsOf } from "../../shared/workshop.ts";

const folder = mkdtempSync(join(tmpdir(), "almanac-problems-"));
let written = 0;

function fileOf(text: string): string {
  written += 1;
  const path = join(folder, `workshop-${written}.yaml`);
  writeFileSync(path, text);
  return path;
}

type Told = [line: number, path: string, value: unknown, expected: string];
const told = (problems: readonly Problem[]): Told[] =>
  problems.map(({ line, path, value, expected }) => [line, path, value, expected]);
const check = (text: string): Told[] => told(problemsOf(fileOf(text)));

const HEAD = "workshop: {name: A, zone: Europe/Lisbon, address_bits: 6}\n";

describe("one wrong thing is told once, with its place", () => {
  test.each<[string, string, ...Told]>([
    [
      "a zone that is none",
      "workshop: {name: A, zone: Europe/Lisbonn}\n",
      1,
      "workshop.zone",
      "Europe/Lisbonn",
      "a time zone like Europe/Lisbon; did you mean Europe/Lisbon?",
    ],
    [
      "an offset for a zone",
      'workshop: {name: A, zone: "+01:00"}\n',
      1,
      "workshop.zone",
      "+01:00",
      "a time zone like Europe/Lisbon",
    ],
    [
      "a currency that is none",
      "workshop: {name: A, zone: UTC, currency: EURO}\n",
      1,
      "workshop.currency",
      "EURO",
      "a currency like CAD or EUR",
    ],
    ["no name", "workshop:\n  zone: UTC\n", 1, "workshop.name", null, "the workshop's name"],
    [
      "no workshop",
      "machines: []\n",
      1,
      "workshop",
      null,
      "the workshop like {name: Quarry Street Workshop, zone: America/Halifax}",
    ],
    ["an empty file", "# nothing yet\n", 1, "", null, "a workshop file"],
    ["a list for a file", "- a\n", 1, "", ["a"], "a workshop file"],
    [
      "an unknown key",
      `${HEAD}machins: []\n`,
      2,
      "machins",
      "machins",
      "one of workshop, profile, hours, rooms, machines, roster, findings, demand, privacy, backup, watch; did you mean machines?",
    ],
    [
      "an unknown rule",
      `${HEAD}findings: {long-sesion: true}\n`,
      2,
      "findings.long-sesion",
      "long-sesion",
      expect.stringContaining("did you mean long-session?") as unknown as string,
    ],
    ["a key twice", `${HEAD}rooms: []\nrooms: []\n`, 3, "", "rooms: []", "every key only once in a map"],
    [
      "a bad hazard",
      `${HEAD}machines:\n  - id: saw\n    hazard: hihg\n    stations: [1]\n`,
      4,
      "machines[0].hazard",
      "hihg",
      "high, medium or low",
    ],
    [
      "text for a number",
      `${HEAD}machines:\n  - id: saw\n    stations: [1]\n    price: "a lot"\n`,
      5,
      "machines[0].price",
      "a lot",
      "an amount of money, a number from 0",
    ],
    [
      "hours that are none",
      `${HEAD}hours:\n  staffed:\n    tue: ["18:00-22:00", "6pm-10pm"]\n`,
      4,
      "hours.staffed.tue[1]",
      "6pm-10pm",
      "opening hours like 18:00-22:00, or past midnight like 18:00-02:00",
    ],
    [
      "an hour past 24",
      `${HEAD}hours: {member: {mon: ["08:00-25:00"]}}\n`,
      2,
      "hours.member.mon[0]",
      "08:00-25:00",
      "opening hours like 18:00-22:00, or past midnight like 18:00-02:00",
    ],
    [
      "hours of no length",
      `${HEAD}hours: {member: {mon: ["08:00-08:00"]}}\n`,
      2,
      "hours.member.mon[0]",
      "08:00-08:00",
      "opening hours like 18:00-22:00, or past midnight like 18:00-02:00",
    ],
    [
      "hours that overlap",
      `${HEAD}hours: {member: {mon: ["08:00-12:00", "11:00-13:00"]}}\n`,
      2,
      "hours.member.mon[1]",
      "11:00-13:00",
      "hours that don't overlap others of the day",
    ],
    [
      "a day that is none",
      `${HEAD}hours: {member: {mo: ["08:00-12:00"]}}\n`,
      2,
      "hours.member.mo",
      "mo",
      "one of mon, tue, wed, thu, fri, sat, sun; did you mean mon?",
    ],
    [
      "30 February",
      `${HEAD}hours: {exceptions: [{date: 2025-02-30, closed: true}]}\n`,
      2,
      "hours.exceptions[0].date",
      "2025-02-30",
      "a date of the calendar, yyyy-mm-dd",
    ],
    [
      "an exception that says nothing",
      `${HEAD}hours:\n  exceptions:\n    - {date: 2025-02-03}\n`,
      4,
      "hours.exceptions[0]",
      { date: "2025-02-03" },
      "either closed: true, or staffed or member hours",
    ],
    [
      "an exception without its day",
      `${HEAD}hours:\n  exceptions:\n    - {from: 2025-02-03, closed: true}\n`,
      4,
      "hours.exceptions[0]",
      { from: "2025-02-03", closed: true },
      "either date, or from and until",
    ],
    [
      "an exception that goes back",
      `${HEAD}hours:\n  exceptions:\n    - {from: 2025-02-03, until: 2025-02-01, closed: true}\n`,
      4,
      "hours.exceptions[0].until",
      "2025-02-01",
      "2025-02-03 or later, as from says",
    ],
    [
      "an unknown room",
      `${HEAD}rooms: [{id: wood}]\nmachines:\n  - id: saw\n    room: wod\n    stations: [1]\n`,
      5,
      "machines[0].room",
      "wod",
      "one of wood; did you mean wood?",
    ],
    [
      "a room where none is listed",
      `${HEAD}machines:\n  - id: saw\n    room: wood\n    stations: [1]\n`,
      4,
      "machines[0].room",
      "wood",
      "a room listed under rooms; there is none",
    ],
    [
      "a room twice",
      `${HEAD}rooms:\n  - {id: wood}\n  - {id: wood}\n`,
      4,
      "rooms[1].id",
      "wood",
      "an id of its own; line 3 has it already",
    ],
    [
      "a machine twice",
      `${HEAD}machines:\n  - {id: saw, stations: [1]}\n  - {id: saw, stations: [2]}\n`,
      4,
      "machines[1].id",
      "saw",
      "an id of its own; line 3 has it already",
    ],
    [
      "a part twice",
      `${HEAD}machines:\n  - id: saw\n    stations: [1]\n    parts:\n      - {id: blade}\n      - {id: blade}\n`,
      7,
      "machines[0].parts[1].id",
      "blade",
      "an id of its own; line 6 has it already",
    ],
    [
      "a task twice",
      `${HEAD}machines:\n  - id: saw\n    stations: [1]\n    parts:\n      - id: blade\n        tasks:\n          - {id: clean, every: {days: 1}}\n          - {id: clean, every: {days: 2}}\n`,
      9,
      "machines[0].parts[0].tasks[1].id",
      "clean",
      "an id of its own; line 8 has it already",
    ],
    [
      "a group with another machine's name",
      `${HEAD}machines:\n  - {id: saw, group: big, stations: [1]}\n  - {id: other, group: saw, stations: [2]}\n`,
      4,
      "machines[1].group",
      "saw",
      "a group that is not the id of a machine outside it (line 3)",
    ],
    [
      "an unknown driver",
      `${HEAD}machines:\n  - {id: saw, stations: [1]}\n  - id: dust\n    driven_by: {sav: {load: 2}}\n`,
      5,
      "machines[1].driven_by.sav",
      "sav",
      "one of saw; did you mean saw?",
    ],
    [
      "an unknown driver in a list",
      `${HEAD}machines:\n  - {id: saw, stations: [1]}\n  - id: dust\n    driven_by: [saw, lathe]\n`,
      5,
      "machines[1].driven_by[1]",
      "lathe",
      "one of saw",
    ],
    [
      "a machine that drives itself",
      `${HEAD}machines:\n  - {id: dust, driven_by: [dust]}\n`,
      3,
      "machines[0].driven_by[0]",
      "dust",
      "drivers that don't come round again (dust ← dust)",
    ],
    [
      "machines that drive each other",
      `${HEAD}machines:\n  - {id: a, driven_by: [b]}\n  - {id: b, driven_by: [c]}\n  - {id: c, driven_by: [a]}\n`,
      3,
      "machines[0].driven_by[0]",
      "b",
      "drivers that don't come round again (a ← b ← c ← a)",
    ],
    [
      "an unknown reset",
      `${HEAD}machines:\n  - id: saw\n    stations: [1]\n    parts:\n      - id: knives\n        tasks:\n          - {id: replace, every: {hours: 9}, resets: [sharpn]}\n          - {id: sharpen, every: {hours: 3}}\n`,
      8,
      "machines[0].parts[0].tasks[0].resets[0]",
      "sharpn",
      "one of replace, sharpen; did you mean sharpen?",
    ],
    [
      "an address beyond the jumpers",
      `${HEAD}machines:\n  - id: saw\n    stations:\n      - {station: 64}\n`,
      5,
      "machines[0].stations[0].station",
      "64",
      "an address that 6 jumpers can set, 0 to 63",
    ],
    [
      "two machines on one station",
      `${HEAD}machines:\n  - {id: saw, stations: [{station: 1, until: 2025-03-02}]}\n  - {id: mill, stations: [{station: 1, from: 2025-03-01}]}\n`,
      4,
      "machines[1].stations[0]",
      "1",
      "a station that no other machine has at the time; saw has it too",
    ],
    [
      "a gap in a machine's stations",
      `${HEAD}machines:\n  - id: saw\n    stations:\n      - {station: 1, until: 2025-03-01}\n      - {station: 2, from: 2025-03-02}\n`,
      6,
      "machines[0].stations[1].from",
      "2025-03-02",
      "no gap behind station 1: from 2025-03-01",
    ],
    [
      "two stations at a time",
      `${HEAD}machines:\n  - id: saw\n    stations:\n      - {station: 1, until: 2025-03-02}\n      - {station: 2, from: 2025-03-01}\n`,
      6,
      "machines[0].stations[1].from",
      "2025-03-01",
      "one station at a time: 1 is the machine's until 2025-03-02",
    ],
    [
      "a station before the machine was there",
      `${HEAD}machines:\n  - id: saw\n    from: 2025-01-01\n    stations:\n      - {station: 1, until: 2025-01-01}\n`,
      6,
      "machines[0].stations[0]",
      "1",
      "a span within the machine's own from and until",
    ],
    [
      "a station's span that goes back",
      `${HEAD}machines:\n  - id: saw\n    stations:\n      - {station: 1, from: 2025-03-02, until: 2025-03-02}\n`,
      5,
      "machines[0].stations[0].until",
      "2025-03-02",
      "a time after from (2025-03-02)",
    ],
    [
      "a machine that ends before it begins",
      `${HEAD}machines:\n  - id: saw\n    from: 2025-03-02\n    until: 2025-03-01\n    stations: [1]\n`,
      5,
      "machines[0].until",
      "2025-03-01",
      "a time not before from (2025-03-02)",
    ],
    [
      "an outage that goes back",
      `${HEAD}machines:\n  - id: saw\n    stations: [1]\n    outages:\n      - {from: 2025-03-02, until: 2025-03-01}\n`,
      6,
      "machines[0].outages[0].until",
      "2025-03-01",
      "a time not before from (2025-03-02)",
    ],
    [
      "a machine without a source of hours",
      `${HEAD}machines:\n  - name: Saw\n    id: saw\n`,
      3,
      "machines[0]",
      "saw",
      "one of stations, driven_by, always_on: true or meter_readings, by which its hours come about",
    ],
    [
      "a machine with two",
      `${HEAD}machines:\n  - id: saw\n    stations: [1]\n    always_on: true\n`,
      5,
      "machines[0].always_on",
      true,
      "only one of stations and always_on, by which its hours come about",
    ],
    [
      "run-on of nothing",
      `${HEAD}machines:\n  - id: saw\n    stations: [1]\n    run_on_seconds: 3\n`,
      5,
      "machines[0].run_on_seconds",
      3,
      "driven_by beside it: only a driven machine runs on",
    ],
    [
      "a run factor above 1",
      `${HEAD}machines:\n  - id: saw\n    stations: [1]\n    run_factor: 1.2\n`,
      5,
      "machines[0].run_factor",
      1.2,
      "run-hours per enabled hour, above 0 and at most 1",
    ],
    [
      "a range that is none",
      `${HEAD}machines:\n  - id: saw\n    stations: [1]\n    run_factor: {low: 0.5, best: 0.4, high: 0.6}\n`,
      5,
      "machines[0].run_factor",
      { low: 0.5, best: 0.4, high: 0.6 },
      "a run factor with low ≤ best ≤ high",
    ],
    [
      "a range with a word missing",
      `${HEAD}machines:\n  - id: saw\n    stations: [1]\n    run_factor: {low: 0.5, best: 0.6}\n`,
      5,
      "machines[0].run_factor.high",
      null,
      "run-hours per enabled hour, above 0 and at most 1",
    ],
    [
      "two readings at one time",
      `${HEAD}machines:\n  - id: saw\n    meter_readings:\n      - {time: 2025-01-01T10:00, hours: 1}\n      - {time: "2025-01-01T10:00Z", hours: 2}\n`,
      6,
      "machines[0].meter_readings[1].time",
      "2025-01-01T10:00Z",
      "one reading for a time; line 5 has one for it already",
    ],
    [
      "a task that never comes",
      `${HEAD}machines:\n  - id: saw\n    stations: [1]\n    parts:\n      - id: blade\n        tasks:\n          - {id: clean}\n`,
      8,
      "machines[0].parts[0].tasks[0]",
      { id: "clean" },
      "every (an interval) or reading (a limit)",
    ],
    [
      "an interval in no unit",
      `${HEAD}machines:\n  - id: saw\n    stations: [1]\n    parts:\n      - id: blade\n        tasks:\n          - {id: clean, every: {}}\n`,
      8,
      "machines[0].parts[0].tasks[0].every",
      {},
      "at least one of hours, load_hours, starts, days, use_days, cycles",
    ],
    [
      "load-hours of what nothing drives",
      `${HEAD}machines:\n  - id: saw\n    stations: [1]\n    parts:\n      - {id: bin, tasks: [{id: clean, every: {load_hours: 4}}]}\n`,
      6,
      "machines[0].parts[0].tasks[0].every.load_hours",
      4,
      "a driven machine: load-hours are its drivers' hours",
    ],
    [
      "starts of what is always on",
      `${HEAD}machines:\n  - id: air\n    always_on: true\n    parts:\n      - {id: relay, tasks: [{id: replace, every: {starts: 4}}]}\n`,
      6,
      "machines[0].parts[0].tasks[0].every.starts",
      4,
      "a machine with stations or drivers: no other's starts are seen",
    ],
    [
      "fitted and used at start",
      `${HEAD}machines:\n  - id: saw\n    stations: [1]\n    parts:\n      - {id: bin, fitted: 2025-01-01, used_at_start: 3}\n`,
      6,
      "machines[0].parts[0].used_at_start",
      3,
      "either fitted or used_at_start",
    ],
    [
      "an id with a blank",
      `${HEAD}machines:\n  - id: my saw\n    stations: [1]\n`,
      3,
      "machines[0].id",
      "my saw",
      "a machine's id: letters, digits, - and _, without blanks",
    ],
    [
      "a broker that is none",
      `${HEAD}watch: {mqtt: {url: "http://broker.lan", topic: a}}\n`,
      2,
      "watch.mqtt.url",
      "http://broker.lan",
      "an address like mqtt://broker.lan:1883",
    ],
    [
      "a profile that isn't there",
      `${HEAD}profile: nowhere.yaml\n`,
      2,
      "profile",
      "nowhere.yaml",
      "a file that can be opened (there is none)",
    ],
    [
      "a roster that isn't there",
      `${HEAD}roster: nowhere.csv\n`,
      2,
      "roster",
      "nowhere.csv",
      "a file that can be opened (there is none)",
    ],
    [
      "a broker's profile that isn't there",
      `${HEAD}watch:\n  mqtt: {url: mqtt://broker.lan, topic: a, profile: nowhere.yaml}\n`,
      3,
      "watch.mqtt.profile",
      "nowhere.yaml",
      "a file that can be opened (there is none)",
    ],
    ["badges neither kept nor hashed", `${HEAD}privacy: {badges: hidden}\n`, 2, "privacy.badges", "hidden", "hashed or kept"],
  ])("%s", (_, text, line, path, value, expected) => {
    expect(check(text)).toEqual([[line, path, value, expected]]);
  });
});

test("what follows from a mistyped key is not told beside it", () => {
  const at = (line: string): unknown[] =>
    check(`${HEAD}machines:\n  - id: saw\n    ${line}\n`).map(([line, path]) => [line, path]);
  expect(at("Stations: [1]")).toEqual([[4, "machines[0].Stations"]]);
  expect(at("always_on: true\n    parts: [{id: p, tasks: [{id: t, every: {hour: 3}}]}]")).toEqual([
    [5, "machines[0].parts[0].tasks[0].every.hour"],
  ]);
  expect(at("driven_by: [mill]")).toEqual([[4, "machines[0].driven_by[0]"]]);
});

test("an alias without its anchor is told where it stands", () => {
  expect(check(`${HEAD}rooms:\n  - {id: wood}\n  - *other\n`)).toEqual([
    [4, "", "- *other", "an anchor &other above this alias"],
  ]);
});

test("stations that meet, and machines that follow one another on a station, are no problem", () => {
  const text = `${HEAD}
machines:
  - id: saw
    until: 2025-02-28
    stations: [{station: 1}]
  - id: mill
    from: 2025-03-01
    stations: [{station: 1, until: 2025-06-01}, {station: ws-2, from: 2025-06-01}]
`;
  expect(check(text)).toEqual([]);
});

test("every problem of every file in one go, by file and line", () => {
  const path = fileOf(`workshop: {name: A, zone: Europe/Atlantis}
profile: bad-profile.yaml
machines:
  - id: saw
    price: -3
    stations: [{station: 1}]
  - {id: saw, stations: [{station: 1}]}
  - {id: dust, driven_by: [lathe], hazard: 3}
roster: bad-roster.csv
extra: 1
`);
  writeFileSync(
    join(folder, "bad-profile.yaml"),
    "profile: p\nformat: csv\nfields: {time: When, event: {column: What, map: {IN: enabled}}}\n",
  );
  writeFileSync(join(folder, "bad-roster.csv"), "badge,person,machines\n1,p,saw\n2,,sow\n");
  const problems = problemsOf(path);
  expect(problems.map(({ file, line, path: place }) => [file.slice(folder.length + 1), line, place])).toEqual([
    [expect.stringMatching(/^workshop/), 1, "workshop.zone"],
    [expect.stringMatching(/^workshop/), 5, "machines[0].price"],
    [expect.stringMatching(/^workshop/), 7, "machines[1].id"],
    [expect.stringMatching(/^workshop/), 7, "machines[1].stations[0]"],
    [expect.stringMatching(/^workshop/), 8, "machines[2].hazard"],
    [expect.stringMatching(/^workshop/), 8, "machines[2].driven_by[0]"],
    [expect.stringMatching(/^workshop/), 10, "extra"],
    ["bad-profile.yaml", 3, "fields.event.map.IN"],
    ["bad-profile.yaml", 3, "fields.station"],
    ["bad-roster.csv", 3, "person"],
    ["bad-roster.csv", 3, "machines"],
  ]);
  const thrown = errorOf(() => loadWorkshop(path));
  expect(thrown.complaint).toMatchObject({ file: path, line: 1, field: "workshop.zone", value: "Europe/Atlantis" });
  expect(thrown.message).toContain("and 8 more: the command check lists them");
});

test("bad YAML is told with the line, all of it", () => {
  const text = `${HEAD}rooms:\n\t- {id: wood}\nmachines: [{id: saw, stations: [1]\nroster: a\n`;
  const problems = problemsOf(fileOf(text));
  expect(problems.length).toBeGreaterThan(0);
  expect(problems[0]).toMatchObject({ line: 3, path: "", value: "- {id: wood}" });
  expect(problems.every(({ expected }) => expected.length > 0)).toBe(true);
});

test("anchors that hold themselves or swell are told, not followed", () => {
  const bomb = `a: &a [x, x, x, x, x, x, x, x, x, x]\n${[..."bcdefg"].map((name, at) => `${name}: &${name} [${Array(10).fill(`*${"abcdef"[at]}`).join(", ")}]`).join("\n")}\n`;
  expect(check(bomb)).toEqual([[1, "", null, expect.stringMatching(/^aliases that can be written out/)]]);
  expect(check("rooms: &r [*r]\n")).toEqual([[1, "", null, expect.stringMatching(/^aliases that can be written out/)]]);
});

test("a file that can't be opened, a folder and what is no UTF-8 are bad usage", () => {
  expect(errorOf(() => problemsOf(join(folder, "nowhere.yaml"))).complaint).toEqual({
    field: "workshop",
    value: join(folder, "nowhere.yaml"),
    expected: "a file that can be opened (there is none)",
  });
  expect(errorOf(() => loadWorkshop(folder)).complaint.expected).toBe("a file, not a folder");
  const latin = join(folder, "latin.yaml");
  writeFileSync(latin, Buffer.from("# eins\nworkshop: {name: B\xfcro}\n", "latin1"));
  expect(errorOf(() => loadWorkshop(latin)).complaint).toMatchObject({ file: latin, line: 2, expected: "text in UTF-8" });
});

function errorOf(work: () => unknown): UsageError {
  try {
    work();
  } catch (error) {
    if (error instanceof UsageError) return error;
    throw error;
  }
  throw new Error("nothing was thrown");
}

const seeded = { seed: 20_260_412, numRuns: 200 };

describe("laws", () => {
  test("a station keeps its text, whatever number YAML would make of it", () => {
    const station = fc.oneof(
      fc.stringMatching(/^[0-9]{1,8}$/),
      fc.stringMatching(/^[0-9a-f]{2,12}$/),
      fc.stringMatching(/^[0-9]{1,3}[.e][0-9]{1,3}$/),
      fc.constantFrom("0x1F", "0o17", "00", "1_000", "true", "no", "null", "~", ".inf", "1e3", "2025-01-01"),
    );
    fc.assert(
      fc.property(station, (text) => {
        const path = fileOf(`workshop: {name: A, zone: UTC}\nmachines:\n  - id: a\n    stations: [{station: ${text}}]\n`);
        const { machines } = loadWorkshop(path).workshop;
        expect(machines[0]?.stations?.[0]?.station).toBe(text);
      }),
      seeded,
    );
  });

  const faults: [name: string, place: RegExp, ...lines: string[]][] = [
    ["hazard", /^machines\[\d+\]\.hazard$/, "hazard: deadly"],
    ["price", /^machines\[\d+\]\.price$/, "price: -1"],
    ["room", /^machines\[\d+\]\.room$/, "room: nowhere"],
    ["key", /^machines\[\d+\]\.colour$/, "colour: red"],
    ["from", /^machines\[\d+\]\.from$/, "from: 2025-13-01"],
    ["outage", /^machines\[\d+\]\.outages\[0\]\.until$/, "outages: [{from: 2025-03-02, until: 2025-03-01}]"],
    ["meter", /^machines\[\d+\]\.meter_readings\[0\]\.hours$/, "meter_readings: [{time: 2025-01-01, hours: many}]"],
    [
      "task",
      /^machines\[\d+\]\.parts\[0\]\.tasks\[0\]\.resets\[0\]$/,
      "parts: [{id: p, tasks: [{id: t, every: {hours: 1}, resets: [u]}]}]",
    ],
    ["address", /^machines\[\d+\]\.always_on$/, "always_on: true"],
  ];

  test("of any mix of faults each is told once, on its own line, and no other", () => {
    const machine = fc.subarray(faults.map((_, index) => index));
    fc.assert(
      fc.property(fc.array(machine, { minLength: 1, maxLength: 5 }), (machines) => {
        const lines = ["workshop: {name: A, zone: UTC}", "machines:"];
        const wanted: [number, RegExp][] = [];
        for (const [index, mix] of machines.entries()) {
          lines.push(`  - id: m${index}`, `    stations: [${index}]`);
          for (const fault of mix) {
            const [, place, text] = faults[fault]!;
            lines.push(`    ${text}`);
            wanted.push([lines.length, place]);
          }
        }
        const problems = problemsOf(fileOf(`${lines.join("\n")}\n`));
        expect(problems.map(({ line, path }) => [line, path])).toEqual(
          wanted.map(([line, place]) => [line, expect.stringMatching(place)]),
        );
      }),
      { ...seeded, numRuns: 60 },
    );
  });
});
