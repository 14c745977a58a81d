// Each exact rule on a few lines of its own, with what must not be flagged beside what must.
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { Bench } from "../service/shop.ts";
import { at, type Flag, openShop, session } from "./shop.ts";

/** The planer's station counts its lines; so does the lathe's in the last week, where a second station speaks between. */
const lines = [
  // Alone in members' hours on the planer, of high hazard; on Wednesday there is company.
  "mon 09:00,21,enable,7,1",
  "mon 09:40,21,release,7,2",
  ...session("wed 08:50", "wed 09:50", "31", "8"),
  "wed 09:00,21,enable,7,3",
  "wed 09:40,21,release,7,4",
  // A badge on the list: for the sander in its days; then for another machine; then after its days.
  ...session("wed 10:00", "wed 10:10", "22", "9"),
  ...session("wed 11:00", "wed 11:10", "31", "9"),
  // Twenty minutes alone on a closed day, eight on another, company on a third.
  ...session("thu 10:00", "thu 10:20", "31", "7"),
  "thu 10:05,31,change,7,,limit 45 -> 240",
  ...session("fri 10:00", "fri 10:08", "31", "7"),
  "sat 10:00:00,31,enable,7",
  "sat 10:00:20,22,enable,8",
  "sat 10:59:50,22,release,8",
  "sat 11:00:00,31,release,7",
  // One person with two badges is one person.
  "+1 mon 09:00,21,enable,7,5",
  ...session("+1 mon 09:00:10", "+1 mon 09:40", "22", "70"),
  "+1 mon 09:40,21,release,7,6",
  // Staffed hours: a badge in two holders for ten minutes, and for twenty seconds.
  "+1 tue 18:10,22,enable,8",
  ...session("+1 tue 18:20", "+1 tue 18:30", "31", "8"),
  "+1 tue 18:40,22,release,8",
  "+1 tue 19:00,22,enable,8",
  "+1 tue 19:09:40,31,enable,8",
  "+1 tue 19:10,22,release,8",
  "+1 tue 19:20,31,release,8",
  // Settings by a listed badge, and by one that nobody knows; that one is refused too, and let in.
  "+1 tue 19:30,22,change,8,,limit 45 -> 60",
  "+1 tue 19:40,22,change,66,,limit 60 -> 240",
  "+1 tue 20:00,22,refuse,66",
  ...session("+1 tue 20:30", "+1 tue 20:40", "22", "66"),
  "+1 tue 20:50,60,boot,",
  "+1 tue 20:55,60,refuse,7",
  // Tagged out on Wednesday at ten: a session that ends soon after, one that begins within.
  "+1 wed 09:50,21,enable,7,7",
  ...session("+1 wed 09:50", "+1 wed 10:20", "31", "8"),
  "+1 wed 10:05,21,release,7,8",
  ...session("+1 wed 10:30", "+1 wed 10:40", "22", "9"),
  "+1 wed 12:00,21,enable,7,9",
  "+1 wed 12:10,21,release,7,10",
  // A motor within a session, one without, one whose badge line is missing, one that ran on after the badge had left.
  "+2 mon 09:00,21,enable,7,11",
  "+2 mon 09:01,21,motor-on,,12",
  "+2 mon 09:05,21,motor-off,,13",
  "+2 mon 09:06,21,release,7,14",
  "+2 mon 11:00,21,motor-on,,15",
  "+2 mon 11:03,21,motor-off,,16",
  "+2 mon 12:01,21,motor-on,,18",
  "+2 mon 12:04,21,motor-off,,19",
  "+2 mon 12:05,21,release,7,20",
  "+2 mon 13:00,21,enable,7,21",
  "+2 mon 13:01,21,motor-on,,22",
  "+2 mon 13:10,21,release,7,23",
  "+2 mon 13:15,21,motor-off,,24",
  // The power comes back: the motor turns by itself; after a fresh enable it is meant to.
  "+2 wed 09:00,21,boot,,1,power",
  "+2 wed 09:00:08,21,motor-on,,2",
  "+2 wed 09:01,21,motor-off,,3",
  "+2 wed 15:00,21,boot,,1,power",
  "+2 wed 15:00:20,21,enable,7,2",
  "+2 wed 15:00:30,21,motor-on,,3",
  "+2 wed 15:02,21,motor-off,,4",
  "+2 wed 15:03,21,release,7,5",
  // A clock that was not set, between good lines.
  "+2 wed 15:10,22,enable,8",
  "+2 wed 15:12,22,release,8",
  "1970-01-01T00:00:20Z,22,boot,",
  "1970-01-01T00:01:00Z,22,refuse,8",
  ...session("+2 wed 16:00", "+2 wed 16:05", "22", "8"),
  // Two counters at one address.
  ...[100, 5000, 101, 5001, 102, 5002, 103, 5003].flatMap((sequence, index) => [`+3 mon 1${index}:30,31,refuse,8,${sequence}`]),
];

const rules = [
  "alone-closed",
  "alone-hazard",
  "closed-use",
  "not-authorised",
  "badge-twice",
  "unlisted-badge",
  "unlisted-station",
  "settings-change",
  "clock-jump",
  "address-clash",
  "motor-without-session",
  "enabled-while-out",
  "restart-after-power",
] as const;

let bench: Bench;
let flags: Flag[];
beforeAll(async () => {
  bench = await openShop(lines, { planer: ', outages: [{from: "2025-03-12T10:00", until: "2025-03-13T10:00", reason: belt}]' });
  flags = (await bench.run("findings")).findings;
});
afterAll(() => bench.close());

const of = (rule: string) => flags.filter((flag) => flag.rule === rule);
const spans = (rule: string) => of(rule).map(({ from, until }) => [from, until]);
const iso = (text: string) => at(text).replace("Z", ".000Z");

describe("exact rules", () => {
  test("alone-closed: twenty minutes, not eight, not with company", () => {
    expect(spans("alone-closed")).toEqual([[iso("thu 10:00"), iso("thu 10:20")]]);
    expect(of("alone-closed")[0]).toMatchObject({ machine: "lathe", badge: "7", severity: "medium" });
    expect(of("alone-closed")[0]!.evidence.figures).toMatchObject({ minutesLow: 20, minutesBest: 20, minutesHigh: 20 });
  });

  test("closed-use: two people; the seconds before the second came make nobody alone", () => {
    expect(spans("closed-use")).toEqual([[iso("sat 10:00"), iso("sat 11:00")]]);
    expect(of("closed-use")[0]!.evidence.figures).toMatchObject({ people: 2, minutes: 60 });
  });

  test("alone-hazard: alone, or with one's own second badge; not with company, nor on what is harmless", () => {
    expect(spans("alone-hazard")).toEqual([
      [iso("mon 09:00"), iso("mon 09:40")],
      [iso("+1 mon 09:00"), iso("+1 mon 09:40")],
    ]);
    expect(of("alone-hazard")[0]).toMatchObject({ machine: "planer", badge: "7", severity: "high" });
  });

  test("not-authorised: another machine, and after its days; an unlisted badge is another rule's", () => {
    expect(of("not-authorised").map(({ from, evidence }) => [from, evidence.figures.why])).toEqual([
      [iso("wed 11:00"), "machine"],
      [iso("+1 wed 10:30"), "late"],
    ]);
  });

  test("badge-twice: ten minutes, not the seconds by which clocks differ", () => {
    expect(spans("badge-twice")).toEqual([[iso("+1 tue 18:20"), iso("+1 tue 18:30")]]);
  });

  test("unlisted-badge: one a night, with what it did", () => {
    expect(spans("unlisted-badge")).toEqual([[iso("+1 tue 19:40"), iso("+1 tue 20:40")]]);
    expect(of("unlisted-badge")[0]!.evidence.figures).toMatchObject({ enabled: 1, refused: 1, changed: 1 });
  });

  test("unlisted-station: the one that no machine claims", () => {
    expect(of("unlisted-station").map(({ station, from }) => [station, from])).toEqual([["60", iso("+1 tue 20:50")]]);
  });

  test("settings-change: on a closed day, and by a badge that nobody knows", () => {
    expect(of("settings-change").map(({ from, badge }) => [from, badge])).toEqual([
      [iso("thu 10:05"), "7"],
      [iso("+1 tue 19:40"), "66"],
    ]);
  });

  test("clock-jump: between the good lines", () => {
    expect(spans("clock-jump")).toEqual([[iso("+2 wed 15:12"), iso("+2 wed 16:00")]]);
  });

  test("address-clash: two counters that take turns; one that starts anew is none", () => {
    expect(of("address-clash").map(({ station, evidence }) => [station, evidence.figures.returns])).toEqual([["31", 6]]);
  });

  test("motor-without-session: without a badge, or after it left; not where its line was lost", () => {
    expect(spans("motor-without-session")).toEqual([
      [iso("+2 mon 11:00"), iso("+2 mon 11:03")],
      [iso("+2 mon 13:10"), iso("+2 mon 13:15")],
    ]);
    expect(of("motor-without-session").every(({ severity }) => severity === "grave")).toBe(true);
  });

  test("restart-after-power: without a fresh enable", () => {
    expect(spans("restart-after-power")).toEqual([[iso("+2 wed 09:00:08"), iso("+2 wed 09:01")]]);
  });

  test("enabled-while-out: begun within the outage, not running out as it began", () => {
    expect(spans("enabled-while-out")).toEqual([[iso("+1 wed 12:00"), iso("+1 wed 12:10")]]);
  });

  test("every finding says what the log can't know, accuses nobody, and has no chance in it", () => {
    const exact = flags.filter(({ rule }) => (rules as readonly string[]).includes(rule));
    expect(new Set(exact.map(({ rule }) => rule)).size).toBe(rules.length);
    for (const { evidence, score, id, state } of exact) {
      expect(evidence.unknown).toMatch(/can't know|can’t know/);
      expect(evidence.text).not.toMatch(/\bsafe\b|\boff\b|violat|illegal|stole|intru|culprit|offend/i);
      expect([score, state]).toEqual([null, "open"]);
      expect(id).toMatch(/^[0-9a-f]{12}$/);
    }
    expect(new Set(flags.map(({ id }) => id)).size).toBe(flags.length);
  });

  test("a span gives what overlaps it, as the whole log does", async () => {
    for (const [since, until] of [
      [at("thu 10:10"), at("thu 10:15")],
      [at("+1 mon 00:00"), at("+1 wed 00:00")],
      [at("+2 mon 00:00"), at("+3 mon 00:00")],
    ] as const) {
      const part: Flag[] = (await bench.run("findings", { since, until })).findings;
      const exact = (list: Flag[]) => list.filter(({ rule }) => (rules as readonly string[]).includes(rule)).map(({ id }) => id);
      const expected = flags.filter(
        ({ from, until: to }) =>
          Date.parse(from) < Date.parse(until) && (Date.parse(to) > Date.parse(since) || Date.parse(from) >= Date.parse(since)),
      );
      expect(exact(part)).toEqual(exact(expected));
      expect(exact(part).length).toBeGreaterThan(0);
    }
  });

  test("as of an earlier time, what came later is not known", async () => {
    const then: Flag[] = (await bench.run("findings", { asOf: at("thu 10:15") })).findings;
    expect(then.filter(({ rule }) => rule === "alone-closed").map(({ from, until }) => [from, until])).toEqual([
      [iso("thu 10:00"), iso("thu 10:15")],
    ]);
    expect(then.every(({ from }) => Date.parse(from) <= Date.parse(at("thu 10:15")))).toBe(true);
  });

  test("a rule that the workshop file switches away finds nothing; its knobs count", async () => {
    const other = await openShop(lines.slice(0, 15), {
      workshop: "findings: {alone-hazard: false, alone-closed: {after_minutes: 5}}\n",
    });
    try {
      const found: Flag[] = (await other.run("findings")).findings;
      expect(found.filter(({ rule }) => rule === "alone-hazard")).toEqual([]);
      expect(found.filter(({ rule }) => rule === "alone-closed").map(({ from }) => from)).toEqual([
        iso("thu 10:00"),
        iso("fri 10:00"),
      ]);
    } finally {
      other.close();
    }
  });
});
