// Tables for people: what stays where room is short, plain words, the workshop's clock; shell completion from the commands.
import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { commands } from "../../dashboard/commands/index.ts";
import { completionScript } from "../../dashboard/completion.ts";
import { toldText } from "../../dashboard/render.ts";
import { layouts } from "../../dashboard/tables/layouts.ts";
import { headingOf, instantsIn, tableOf } from "../../dashboard/tables/table.ts";
import { almanac, emptyFolder } from "../support/almanac.ts";
import { writeShop } from "../support/shop.ts";

const task = (more: Record<string, unknown> = {}) => ({
  state: "soon",
  machine: "planer",
  part: "knives",
  task: "sharpen",
  used: { low: 10, best: 12.25, high: 14 },
  interval: 15,
  basis: "hours",
  due: { early: "2026-03-01", median: "2026-03-08", late: "2026-03-20" },
  lastDone: "2026-02-01T12:00:00Z",
  notes: ["the interval is common practice, not the maker's word"],
  ...more,
});

describe("a table", () => {
  test("says everything in a wide window", () => {
    const local = new Map([["2026-02-01T12:00:00Z", "2026-02-01 08:00"]]);
    const lines = tableOf("due", [task()], { columns: 200, colour: false, local }).split("\n");
    expect(lines.map((line) => line.split(/ {2,}/))).toEqual([
      ["State", "Due", "Machine", "Part", "Task", "Four times in five between", "Used", "Of", "Counted in", "Last done", "Notes"],
      [
        "soon",
        "2026-03-08",
        "planer",
        "knives",
        "sharpen",
        "2026-03-01 and 2026-03-20",
        "12.3 (10–14)",
        "15",
        "hours",
        "2026-02-01 08:00",
        "the interval is common practice, not the maker's word",
      ],
      [""],
    ]);
  });

  test.each([24, 40, 60, 80, 120])("in %i columns keeps the date, fits, and names what it left out", (columns) => {
    const table = tableOf("due", [task(), task({ machine: "dust-collector", used: null })], { columns, colour: false });
    const lines = table.split("\n").filter((line) => !line.startsWith("("));
    expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(Math.max(columns, 32));
    expect(table).toContain("2026-03-08");
    if (columns < 120) expect(table).toMatch(/\(no room for .*notes.*: a wider window or --json has them\)/);
  });

  test("has no JSON, no camelCase and no stamp of another clock in it", () => {
    const rows = [
      {
        someName: [{ inUse: 1, hours: 3.25 }],
        atTime: "2026-02-01T12:00:00Z",
        isIt: true,
        of: { insufficient: { have: 1, need: 3 } },
      },
    ];
    const table = tableOf("anything", rows, {
      columns: 120,
      colour: false,
      local: new Map([["2026-02-01T12:00:00Z", "2026-02-01 08:00"]]),
    });
    expect(table.split("\n").map((line) => line.split(/ {2,}/))).toEqual([
      ["Some name", "At time", "Is it", "Of"],
      ["in use 1, hours 3.25", "2026-02-01 08:00", "yes", "not enough data yet"],
      [""],
    ]);
    expect(table).not.toMatch(/[{}"]|Z\b/);
  });

  test("bold headings only on a terminal that wants colour", () => {
    expect(tableOf("machines", [{ machine: "planer" }], { columns: 80, colour: false })).not.toContain("\u001b");
    expect(tableOf("machines", [{ machine: "planer" }], { columns: 80, colour: true })).toContain("\u001b[1m");
  });

  test("a certainty is said as one", () => {
    expect(tableOf("due", [task({ used: { low: 362, best: null, high: null } })], { columns: 160, colour: false })).toContain(
      "at least 362",
    );
  });

  test("finds every instant, however deep, and heads names in words", () => {
    expect(instantsIn([{ a: { b: ["2026-02-01T12:00:00Z"] }, c: "2026-02-01" }])).toEqual(["2026-02-01T12:00:00Z"]);
    expect(["enabledHours", "service_level", "id"].map(headingOf)).toEqual(["Enabled hours", "Service level", "Id"]);
  });

  test("every layout is of a command that is there", () => {
    expect(Object.keys(layouts).filter((name) => !commands.some((command) => command.name === name))).toEqual([]);
  });
});

describe("typed", () => {
  const folder = emptyFolder();
  beforeAll(async () => {
    writeShop(folder.path);
    await almanac(folder.path, ["ingest", "log.csv"]);
  });
  afterAll(folder.remove);

  test("hours say as of when, by which clock", async () => {
    const { out } = await almanac(folder.path, ["hours"]);
    expect(out).toMatch(
      /^As of 2025-03-30 12:00 \(the log's last good line\), by the clock of Europe\/Lisbon\n\nMachine +From +Badge hours/,
    );
    expect(out).not.toMatch(/\dZ\b|enabledHours/);
  });

  test("a machine nobody has is a slip, told with the one that was meant", async () => {
    const { code, json } = await almanac(folder.path, ["hours", "--machine", "plamer", "--json"]);
    expect([code, json.error.field, json.error.expected]).toEqual([
      2,
      "machine",
      expect.stringContaining("did you mean planer?"),
    ]);
    expect((await almanac(folder.path, ["occupancy", "--group", "planr"])).code).toBe(2);
    const turned = await almanac(folder.path, ["sessions", "--since", "2025-03-20", "--until", "2025-03-10"]);
    expect([turned.code, turned.err]).toEqual([2, 'until "2025-03-10": expected a time after --since 2025-03-20\n']);
  });

  test("the help of calc lists every method with its inputs", async () => {
    const { out } = await almanac(folder.path, ["calc", "--help"]);
    for (const method of ["weibull-fit", "queue-one", "spares-needed"]) expect(out).toContain(method);
    expect(out).toContain('like {"');
  });

  test("a mistyped command is told the one that was meant", async () => {
    const { code, err } = await almanac(folder.path, ["huors"]);
    expect([code, err]).toEqual([2, expect.stringContaining("hours")]);
  });
});

describe("completion", () => {
  const folder = mkdtempSync(join(tmpdir(), "almanac-completion-"));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  const script = join(folder, "almanac.bash");
  writeFileSync(script, completionScript("bash", commands));

  /** What bash would offer for the last of these words. */
  const offered = (...words: string[]): string[] =>
    execFileSync(
      "bash",
      [
        "-c",
        `source "$1"; shift; COMP_WORDS=("$@"); COMP_CWORD=$(( $# - 1 )); _almanac; printf '%s\\n' "\${COMPREPLY[@]}"`,
        "bash",
        script,
        ...words,
      ],
      { encoding: "utf8" },
    )
      .split("\n")
      .filter(Boolean);

  test("offers commands, their second words, options and the values of options", () => {
    expect(offered("almanac", "hou")).toEqual(["hours"]);
    expect(offered("almanac", "service", "un")).toEqual(["undo"]);
    expect(offered("almanac", "hours", "--si")).toEqual(["--since"]);
    expect(offered("almanac", "hours", "--by", "hour")).toEqual(["hour-of-week"]);
    expect(offered("almanac", "completion", "f")).toEqual(["fish"]);
  });

  test.each(["bash", "zsh", "fish"] as const)("of %s names every command and every option", (shell) => {
    const text = completionScript(shell, commands);
    for (const { name } of commands) for (const word of name.split(" ")) expect(text).toContain(word);
    expect(text).toContain(shell === "fish" ? "-l 'service-level'" : "--service-level");
    expect(text).not.toContain("undefined");
  });
});

test("an error is a sentence on its own stream, JSON where asked", () => {
  const told = { complaint: { field: "x", value: 1, expected: "y" }, exitCode: 2 } as const;
  expect(toldText(told, false)).toEqual({ out: "", err: "x 1: expected y\n" });
  expect(toldText(told, true)).toEqual({ out: '{"error":{"field":"x","value":1,"expected":"y"}}\n', err: "" });
});
