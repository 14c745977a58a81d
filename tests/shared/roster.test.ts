import { expect, test } from "vitest";
import { rosterFromText } from "../../shared/roster.ts";

const HEADER = "badge,person,name,role,valid_from,valid_until,machines\n";
const knows = new Set(["saw", "planer"]);
const told = (text: string): unknown[][] =>
  rosterFromText("r.csv", text, knows).problems.map(({ file, line, path, value, expected }) => [
    file,
    line,
    path,
    value,
    expected,
  ]);

test("rows keep their badges as written, and what is left out is null", () => {
  const text = `\uFEFF${HEADER}00417,p1,"Lund, Ida",maintainer,2024-01-01,2026-01-01,saw planer\r\n\r\n3e5, p2 ,,,,,\n`;
  expect(rosterFromText("r.csv", text, knows)).toEqual({
    problems: [],
    rows: [
      {
        badge: "00417",
        person: "p1",
        name: "Lund, Ida",
        role: "maintainer",
        validFrom: "2024-01-01",
        validUntil: "2026-01-01",
        machines: ["saw", "planer"],
        line: 2,
      },
      { badge: "3e5", person: "p2", name: null, role: "member", validFrom: null, validUntil: null, machines: [], line: 4 },
    ],
  });
});

test("columns may come in any order, some may be missing, semicolons do too", () => {
  expect(rosterFromText("r.csv", "Person;Badge\np1;7\n").rows).toMatchObject([{ badge: "7", person: "p1" }]);
});

test.each<[string, string, number, string, unknown, string]>([
  ["no badge", `${HEADER},p1,,,,,\n`, 2, "badge", "", "a badge as the log writes it"],
  ["no person", `${HEADER}1,,,,,,\n`, 2, "person", "", "a word for the person, the same for all badges of one"],
  ["no date", `${HEADER}1,p,,,2024-02-30,,\n`, 2, "valid_from", "2024-02-30", "a date of the calendar, yyyy-mm-dd, or nothing"],
  [
    "dates that go back",
    `${HEADER}1,p,,,2024-02-03,2024-02-02,\n`,
    2,
    "valid_until",
    "2024-02-02",
    "2024-02-03 or later, as valid_from says",
  ],
  ["an unknown machine", `${HEADER}1,p,,,,,saw plaer\n`, 2, "machines", "plaer", "one of saw, planer; did you mean planer?"],
  [
    "too many cells",
    `${HEADER}1,p,Lund, Ida,member,,,saw\n`,
    2,
    "",
    8,
    "7 cells, as the header has (a cell with a comma needs quotes)",
  ],
  [
    "an unknown column",
    "badge,person,vaild_from\n",
    1,
    "vaild_from",
    "vaild_from",
    "one of badge, person, name, role, valid_from, valid_until, machines; did you mean valid_from?",
  ],
  ["a column twice", "badge,person,badge\n", 1, "badge", "badge", "every column only once"],
  ["a column missing", "badge,name\n", 1, "person", null, "a column person"],
  ["nothing at all", "", 1, "", null, "a header badge,person,name,role,valid_from,valid_until,machines"],
  [
    "one badge, two persons",
    `${HEADER}1,p,,,,2024-05-01,\n1,q,,,2024-05-01,,\n`,
    3,
    "badge",
    "1",
    'one person at a time for a badge; on line 2 it is "p"\'s',
  ],
  ["a row twice", `${HEADER}1,p,,,,,\n2,q,,,,,\n1,p,,,,,\n`, 4, "badge", "1", "every row only once; line 2 is the same"],
  [
    "a line behind a cell of two lines",
    `${HEADER}1,p,"a\nb",,,,\n2,,,,,,\n`,
    4,
    "person",
    "",
    "a word for the person, the same for all badges of one",
  ],
])("%s is told once", (_, text, line, path, value, expected) => {
  expect(told(text)).toEqual([["r.csv", line, path, value, expected]]);
});

test("a badge handed on, and one person's rows for two machines, are no problem", () => {
  const text = `${HEADER}1,p,,,,2024-04-30,\n1,q,,,2024-05-01,,saw\n1,q,,,2024-05-01,,planer\n`;
  expect(rosterFromText("r.csv", text, knows)).toMatchObject({ problems: [], rows: [{ line: 2 }, { line: 3 }, { line: 4 }] });
});

test("a quote that is never closed is told, not read on", () => {
  expect(told(`${HEADER}1,p,"Ida,,,,\n2,q,,,,,\n`)).toEqual([
    ["r.csv", expect.any(Number), "", null, expect.stringMatching(/^CSV \(/)],
  ]);
});
