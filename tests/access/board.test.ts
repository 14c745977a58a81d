// What reaches the board, in whatever form, on whatever page, also when something fails: never a badge, a name, a day or a moment.
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { hasRight } from "../../dashboard/access/rights.ts";
import { commandNamed, type Surroundings } from "../../dashboard/commands/command.ts";
import { commands } from "../../dashboard/commands/index.ts";
import { quiet } from "../../dashboard/progress.ts";
import { runCommand } from "../../dashboard/run.ts";
import { emptyFolder } from "../support/almanac.ts";
import { Browser, giveAccount, type House, openHouse } from "./house.ts";

const workshop = `workshop: {name: Heron Row Workshop, zone: Europe/Lisbon, currency: EUR, address_bits: 6}
privacy: {badges: kept}
roster: roster.csv
hours: {member: {mon: ["08:00-22:00"], tue: ["08:00-22:00"]}}
rooms: [{id: wood, name: Wood room}]
machines:
  - {id: planer, name: Planer, room: wood, stations: [{station: 21}]}
  - {id: lathe, name: Lathe, room: wood, stations: [{station: 22}]}
`;
const badges = Array.from({ length: 7 }, (_, i) => `badge-7731${i}`);
const names = badges.map((_, i) => `Zebedee Quill${i}`);
const roster = ["badge,person,name,role", ...badges.map((badge, i) => `${badge},person-88${i},${names[i]},member`)].join("\n");

/** Seven members on the planer and two on the lathe, each day of January to March, and one reject with a badge in it. */
function logText(): string {
  const lines = ["time,station,event,badge"];
  for (let day = 0; day < 80; day++) {
    const at = (minute: number) => new Date(Date.UTC(2025, 0, 2 + day, 10, minute)).toISOString();
    const badge = badges[day % 7]!;
    lines.push(`${at(0)},21,enable,${badge}`, `${at(40)},21,release,${badge}`);
    if (day % 9 === 0) lines.push(`${at(5)},22,enable,${badges[day % 2]}`, `${at(25)},22,release,${badges[day % 2]}`);
  }
  lines.push(
    `no time at all,21,enable,${badges[0]}`,
    `2025-04-02T10:00:00Z,21,enable,${badges[3]}`,
    `2025-04-02T10:30:00Z,21,release,${badges[3]}`,
  );
  return `${lines.join("\n")}\n`;
}

const folder = emptyFolder();
let house: House;
let board: Browser;
let steward: Browser;

beforeAll(async () => {
  writeFileSync(join(folder.path, "roster.csv"), roster);
  writeFileSync(join(folder.path, "log.csv"), logText());
  house = await openHouse({ folder: folder.path, workshop });
  const surroundings: Surroundings = {
    cwd: folder.path,
    stdin: async () => "",
    progress: quiet,
    signal: new AbortController().signal,
    who: "a test",
    commands,
    asOfDefault: "last-event",
  };
  await runCommand(commandNamed(commands, "ingest"), { files: ["log.csv"], store: house.store.path }, surroundings, {
    store: house.store,
  });
  await giveAccount(house.store, "ann", ["steward"]);
  await giveAccount(house.store, "bob", ["board"]);
  steward = await new Browser(house.address).signIn("ann");
  board = await new Browser(house.address).signIn("bob");
});
afterAll(async () => {
  await house.close({ isToStay: true });
  folder.remove();
});

const about = /badge-7731|Zebedee|Quill\d|person-88/;
/** A day of the log that no whole month begins or ends with, or a time of day somebody was there. */
const moments = /2025-0[1-4]-(0[2-9]|[12]\d)|T10:\d\d/;

const asked = commands.filter(({ http, need }) => http === "GET" && hasRight(["board"], need));
const forms = ["application/json", "text/csv", "application/vnd.apache.arrow.stream"];

describe("the board", () => {
  it("is the only one of the two who gets less", async () => {
    const full = await steward.get("/api/v1/sessions");
    expect(full.text).toMatch(about);
    expect((await steward.get("/api/v1/hours?by=day")).text).toMatch(moments);
    expect((await steward.get("/api/v1/rejects")).text).toMatch(about);
  });

  it("gets no badge, name, day or moment from any command it may ask, in any form", async () => {
    expect(asked.map(({ name }) => name)).toEqual(expect.arrayContaining(["hours", "occupancy", "machines", "calendar"]));
    for (const command of asked) {
      const variants =
        command.name === "hours" ? ["", "?by=month", "?by=machine&machine=lathe", "?since=2025-01-10&until=2025-03-20"] : [""];
      for (const variant of variants)
        for (const accept of forms) {
          const { status, text } = await board.get(`/api/v1/${command.path ?? command.name}${variant}`, { accept });
          expect([command.name, status]).toEqual([command.name, 200]);
          expect(text).not.toMatch(about);
          expect(text).not.toMatch(moments);
        }
    }
  });

  it("gets whole months, and those with fewer than five members empty", async () => {
    const { json } = await board.get("/api/v1/hours?by=month");
    const told = json.rows.map(({ machine, from, sessions, members, suppressed }: Record<string, unknown>) => [
      machine,
      from,
      sessions,
      members,
      suppressed,
    ]);
    expect(told).toEqual([
      ["planer", "2025-01-01T00:00:00Z", 30, 7, false],
      ["planer", "2025-02-01T00:00:00Z", 28, 7, false],
      ["planer", "2025-03-01T00:00:00Z", 22, 7, false],
      ["lathe", "2025-01-01T00:00:00Z", null, null, true],
      ["lathe", "2025-02-01T00:00:00Z", null, null, true],
      ["lathe", "2025-03-01T00:00:00Z", null, null, true],
    ]);
    const part = await board.get("/api/v1/hours?since=2025-01-10&until=2025-03-20");
    expect(part.json.rows[0]).toMatchObject({ machine: "planer", from: "2025-02-01T00:00:00Z", sessions: 28, monthsShown: 1 });
    expect((await board.get("/api/v1/calendar")).json).toMatchObject({ firstDay: "2025-01-01", lastDay: "2025-03-31" });
  });

  it.each(["by=day", "by=week", "by=hour-of-week", "as-of=2025-02-10", "seed=2", "all=true"])(
    "may not ask for hours with %s",
    async (query) => {
      expect((await board.get(`/api/v1/hours?${query}`)).status).toBe(400);
      expect((await steward.get(`/api/v1/hours?${query}`)).status).toBe(200);
    },
  );

  it("sees its pages, and nothing of members on any of them", async () => {
    for (const [path, expected] of [
      ["/", 200],
      ["/machines", 200],
      ["/machines/planer", 200],
      ["/demand", 200],
      ["/log", 403],
      ["/sign-in", 303],
      ["/account", 200],
    ] as const) {
      const { status, text } = await board.get(path, { accept: "text/html" });
      expect([path, status]).toEqual([path, expected]);
      expect(text).not.toMatch(about);
      // Days of the period chooser are a calendar's; the last badge's day and the hours of day would be somebody's.
      expect(text).not.toMatch(/T10:\d\d|2025-04-02/);
    }
  });

  it("hears nothing of how often the log grows", async () => {
    const heard = async (visitor: Browser) => {
      const stop = new AbortController();
      const cookie = [...visitor.cookies].map(([name, value]) => `${name}=${value}`).join("; ");
      const response = await fetch(`${house.address}/api/v1/stream`, { headers: { cookie }, signal: stop.signal });
      const reader = response.body!.pipeThrough(new TextDecoderStream()).getReader();
      let text = (await reader.read()).value ?? "";
      house.tell("store");
      house.tell("store");
      house.tell("workshop");
      while (!text.includes('"kind":"workshop"')) text += (await reader.read()).value ?? "";
      stop.abort();
      return text;
    };
    expect((await heard(steward)).match(/"kind":"store"/g)).toHaveLength(2);
    const quietly = await heard(board);
    expect(quietly).not.toMatch(/"kind":"store"/);
    expect(quietly).not.toMatch(/^id:/m);
  });

  it("is told nothing by a failure: the steward reads the reason, the board that there is one", async () => {
    writeFileSync(join(folder.path, "roster.csv"), `${roster}\n${badges[0]},person-880,${names[0]},king,not-a-day\n`);
    try {
      const full = await steward.get("/api/v1/hours");
      expect(full.status).toBe(400);
      const { status, text } = await board.get("/api/v1/hours");
      expect(status).toBe(500);
      expect(text).not.toMatch(about);
      expect(text).not.toMatch(/roster/);
      expect(text).toMatch(/a steward who asks the same is told the reason/);
      for (const path of ["/", "/machines"]) expect((await board.get(path, { accept: "text/html" })).text).not.toMatch(about);
    } finally {
      writeFileSync(join(folder.path, "roster.csv"), roster);
    }
  });
});
