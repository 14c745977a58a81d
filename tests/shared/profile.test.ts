import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { UsageError } from "../../shared/errors.ts";
import { EVENT_KINDS, houseProfile, loadProfile, problemsOfProfile, profileFromText } from "../../shared/profile.ts";

const folder = mkdtempSync(join(tmpdir(), "almanac-profile-"));
let written = 0;
function fileOf(text: string): string {
  written += 1;
  const path = join(folder, `profile-${written}.yaml`);
  writeFileSync(path, text);
  return path;
}

const HEAD = "profile: p\nformat: csv\n";
const EVENTS = "fields: {time: When, station: Unit, event: What}\n";

describe("one wrong thing is told once, with its place", () => {
  test.each<[string, string, number, string, unknown, string]>([
    [
      "a format that is none",
      `profile: p\nformat: xml\n${EVENTS}`,
      2,
      "format",
      "xml",
      "one of csv, tsv, ndjson, json, parquet, or with .gz behind it",
    ],
    [
      "a delimiter of two",
      `${HEAD}delimiter: "::"\n${EVENTS}`,
      3,
      "delimiter",
      "::",
      'one character like ";", tab, or spaces (runs of white space)',
    ],
    ["a quote of two", `${HEAD}quote: "''"\n${EVENTS}`, 3, "quote", "''", 'one character, or "" for none'],
    [
      "an encoding that is none",
      `${HEAD}encoding: utf-9\n${EVENTS}`,
      3,
      "encoding",
      "utf-9",
      "one of utf-8, latin-1, windows-1252, utf-16, utf-16be",
    ],
    ["a zone that is none", `${HEAD}zone: Lisbon\n${EVENTS}`, 3, "zone", "Lisbon", "a time zone like Europe/Lisbon"],
    [
      "an unknown key",
      `${HEAD}heder: false\n${EVENTS}`,
      3,
      "heder",
      "heder",
      expect.stringContaining("did you mean header?") as unknown as string,
    ],
    [
      "an unknown field",
      `${HEAD}fields:\n  time: a\n  station: b\n  event: c\n  bagde: d\n`,
      7,
      "fields.bagde",
      "bagde",
      expect.stringContaining("did you mean badge?") as unknown as string,
    ],
    [
      "a kind that is none",
      `${HEAD}fields:\n  time: a\n  station: b\n  event: {column: c, map: {IN: enabled}}\n`,
      6,
      "fields.event.map.IN",
      "enabled",
      `one of ${EVENT_KINDS.join(", ")}`,
    ],
    [
      "no time",
      `${HEAD}fields: {station: b, event: c}\n`,
      3,
      "fields.time",
      null,
      "a column for time, which a log of events needs",
    ],
    [
      "no station",
      `${HEAD}rows: sessions\nfields: {start: a}\n`,
      4,
      "fields.station",
      null,
      "a column for station, which a log of sessions needs",
    ],
    [
      "no start",
      `${HEAD}rows: sessions\nfields: {station: a, finish: b}\n`,
      4,
      "fields.start",
      null,
      "a column for start, or for both finish and duration",
    ],
    [
      "an event in a log of sessions",
      `${HEAD}rows: sessions\nfields: {station: a, start: b, event: c}\n`,
      4,
      "fields.event",
      "c",
      "no event in a log of sessions (rows: events has it)",
    ],
    [
      "a start in a log of events",
      `${HEAD}fields: {time: a, station: b, event: c, start: d}\n`,
      3,
      "fields.start",
      "d",
      "no start in a log of events (rows: sessions has it)",
    ],
    [
      "two origins",
      `${HEAD}fields:\n  time: a\n  station: {column: b, topic: 2}\n  event: c\n`,
      5,
      "fields.station",
      { column: "b", topic: 2 },
      "exactly one of column, topic, payload, value",
    ],
    [
      "format and unit",
      `${HEAD}fields:\n  time: {column: a, format: "%H", unit: s}\n  station: b\n  event: c\n`,
      4,
      "fields.time",
      { column: "a", format: "%H", unit: "s" },
      "either format or unit",
    ],
    [
      "origin without unit",
      `${HEAD}fields:\n  time: {column: a, origin: 1904-01-01}\n  station: b\n  event: c\n`,
      4,
      "fields.time",
      { column: "a", origin: "1904-01-01" },
      "unit (s or ms) beside origin",
    ],
    [
      "a unit that is none",
      `${HEAD}rows: sessions\nfields:\n  station: b\n  start: c\n  duration: {column: d, unit: days}\n`,
      7,
      "fields.duration.unit",
      "days",
      "hours, minutes or seconds",
    ],
    ["an end that is none", `${HEAD}ends: never\n${EVENTS}`, 3, "ends", "never", "station or badge-elsewhere"],
  ])("%s", (_, text, line, path, value, expected) => {
    const file = fileOf(text);
    expect(problemsOfProfile(file)).toEqual([{ file, line, path, value, expected }]);
    expect(() => loadProfile(file)).toThrow(UsageError);
  });
});

test("words of the log are text as written", () => {
  const { fields, null_values } = profileFromText(
    "p.yaml",
    `${HEAD}header: false\nnull_values: [0, "-", null]\nfields:\n  time: [1, 2]\n  station: 03\n  event: {column: 4, map: {01: enable, 1: release, true: boot, ~: refuse}, ignore: [00, no]}\n`,
  );
  expect(fields.time?.column).toEqual(["1", "2"]);
  expect(fields.station?.column).toEqual(["03"]);
  expect(fields.event).toEqual({
    column: ["4"],
    map: { "01": "enable", "1": "release", true: "boot", "~": "refuse" },
    ignore: ["00", "no"],
  });
  expect(null_values).toEqual(["0", "-", "null"]);
});

test("what is left open is filled in by the format", () => {
  const read = (text: string) => profileFromText("p.yaml", text);
  expect(read(`${HEAD}${EVENTS}`)).toMatchObject({
    format: "csv",
    delimiter: ",",
    quote: '"',
    header: true,
    skip_lines: 0,
    rows: "events",
    earliest: 2000,
    impossible: "reject",
  });
  expect(read(`profile: p\nformat: tsv.gz\n${EVENTS}`)).toMatchObject({ format: "tsv", delimiter: "\t" });
  expect(read(`${HEAD}delimiter: tab\nquote: ""\nheader: false\n${EVENTS}`)).toMatchObject({
    delimiter: "\t",
    quote: "",
    header: false,
  });
  expect(read(`${HEAD}delimiter: spaces\n${EVENTS}`).delimiter).toBe("spaces");
});

test("live sources name levels of the topic, the payload, or the moment of arrival", () => {
  const text =
    "profile: p\nformat: ndjson\nfields: {time: {arrival: true}, station: {topic: 3}, event: {payload: true, map: {on: enable}}}\n";
  expect(profileFromText("p.yaml", text).fields).toMatchObject({
    time: { arrival: true },
    station: { topic: 3 },
    event: { payload: true },
  });
});

test("a reader's log without events needs its badge instead", () => {
  const text = `${HEAD}ends: badge-elsewhere\nfields: {time: a, station: b}\n`;
  expect(problemsOfProfile(fileOf(text))).toMatchObject([{ path: "fields.badge" }]);
});

test.each(["csv", "ndjson"] as const)("the house format %s has the events' own names", (format) => {
  const profile = houseProfile(format);
  expect(profile).toMatchObject({ profile: "house", format, delimiter: ",", header: true, rows: "events", ends: "station" });
  expect(Object.entries(profile.fields).map(([ours, theirs]) => [ours, theirs?.column])).toEqual(
    ["time", "station", "event", "badge", "sequence", "detail"].map((name) => [name, [name]]),
  );
});
