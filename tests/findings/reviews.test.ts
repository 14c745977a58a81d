// What was said of a finding stays with it: when logs are read again, when its start moves a little; it comes back when its evidence
// changes. Rules answer for their record.
import { describe, expect, test } from "vitest";
import { type Review, withReviews } from "../../analytics/findings/reviews.ts";
import { pressureOf, trackRecords } from "../../analytics/findings/track-record.ts";
import type { Finding } from "../../analytics/index.ts";
import { at, type Flag, logOf, openShop, openShopOfFiles, session } from "./shop.ts";

const finding = (more: Partial<Finding> = {}): Finding => ({
  id: "a1",
  rule: "alone-closed",
  severity: "medium",
  machine: "lathe",
  group: "lathe",
  room: null,
  station: "31",
  badge: "7",
  from: new Date(at("thu 10:00")),
  until: new Date(at("thu 10:20")),
  score: null,
  expectedFalse: 0,
  evidence: { text: "", unknown: "", figures: { minutesBest: 20, machines: "Lathe" } },
  ...more,
});
const reviewOf = ({ id, evidence, ...rest }: Finding, more: Partial<Review> = {}): Review => ({
  ...rest,
  findingId: id,
  state: "dismissed",
  note: "work party",
  by: "ann",
  enteredAt: new Date(at("fri 10:00")),
  figures: evidence.figures,
  ...more,
});
const all = () => null;

describe("a review", () => {
  test("holds while the evidence is the same, to a tenth", () => {
    const before = finding();
    const now = finding({ evidence: { ...before.evidence, figures: { minutesBest: 21, machines: "Lathe" } } });
    expect(withReviews([now], [reviewOf(before)], all)).toMatchObject([{ state: "dismissed", hasChanged: false }]);
  });

  test.each([
    ["more minutes", { evidence: { text: "", unknown: "", figures: { minutesBest: 60, machines: "Lathe" } } }],
    ["another machine", { evidence: { text: "", unknown: "", figures: { minutesBest: 20, machines: "Planer" } } }],
    ["graver", { severity: "high" as const }],
  ])("brings the finding back with new evidence: %s", (_, more) => {
    const [shown] = withReviews([finding(more)], [reviewOf(finding())], all);
    expect(shown).toMatchObject({ state: "open", hasChanged: true, review: { state: "dismissed", by: "ann" } });
  });

  test("only weighty figures count, where a rule names them", () => {
    const now = finding({ evidence: { text: "", unknown: "", figures: { minutesBest: 20, machines: "Planer" } } });
    expect(withReviews([now], [reviewOf(finding())], () => ["minutesBest"])).toMatchObject([{ state: "dismissed" }]);
  });

  test("goes with a finding whose start moved by minutes, and to one only", () => {
    const moved = finding({ id: "b2", from: new Date(at("thu 10:03")) });
    const another = finding({ id: "c3", from: new Date(at("thu 10:08")) });
    const shown = withReviews([moved, another], [reviewOf(finding())], all);
    expect(shown.map(({ id, state }) => [id, state])).toEqual([
      ["a1", "dismissed"],
      ["c3", "open"],
    ]);
  });

  test.each([
    ["another place", { id: "b2", station: "32" }],
    ["another badge", { id: "b2", badge: "8" }],
    ["another day", { id: "b2", from: new Date(at("fri 10:00")), until: new Date(at("fri 10:20")) }],
  ])("doesn't go to %s", (_, more) => {
    expect(withReviews([finding(more)], [reviewOf(finding())], all)).toMatchObject([{ id: "b2", state: "open", review: null }]);
  });
});

describe("track records", () => {
  const rules = [
    { name: "alone-closed", severity: "medium" },
    { name: "settings-change", severity: "high" },
  ] as const;

  test("ask to loosen a rule whose findings are dismissed", () => {
    const reviews = Array.from({ length: 10 }, (_, index) =>
      reviewOf(finding({ id: `r${index}` }), { state: index < 8 ? "dismissed" : "acted" }),
    );
    const [first, second] = trackRecords(rules, [], reviews, 10);
    expect(first!.advice).toMatch(/^8 of 10 dismissed: loosen alone-closed/);
    expect(second!.advice).toBeNull();
    expect(trackRecords(rules, [], reviews.slice(0, 4), 10)[0]!.advice).toBeNull();
  });

  test("ask the busiest rule to be tuned where grave and high ones are more than anybody walks for", () => {
    const many = (count: number) =>
      withReviews(
        Array.from({ length: count }, (_, index) => finding({ id: `s${index}`, rule: "settings-change", severity: "high" })),
        [],
        all,
      );
    expect(trackRecords(rules, many(11), [], 10)[1]!.advice).toMatch(/1\.1 grave and high findings a week/);
    expect(trackRecords(rules, many(10), [], 10)[1]!.advice).toBeNull();
    expect(trackRecords(rules, many(11), [], 1)[1]!.advice).toBeNull();
    expect(pressureOf(many(11), 10).shares).toEqual({ pressing: 1, medium: 0, low: 0 });
    expect(pressureOf([], 10).shares).toEqual({ pressing: null, medium: null, low: null });
  });
});

describe("findings of a store", () => {
  const first = [...session("thu 10:00", "thu 10:20", "31", "7"), ...session("sat 10:00", "sat 10:30", "22", "8")];
  const second = ["+1 tue 19:40,22,change,66,,limit 60 -> 240", ...session("+1 thu 11:00", "+1 thu 11:30", "21", "7")];

  test("are reviewed by id, with a word on why; the store keeps every word", async () => {
    const bench = await openShop(first);
    try {
      const [flag] = (await bench.run("findings", { rule: "alone-closed" })).findings as Flag[];
      await expect(bench.run("review", { id: flag!.id, state: "explained" })).rejects.toThrow(/note/);
      await expect(bench.run("review", { id: "nothing", state: "open" })).rejects.toThrow(/id of a finding/);
      await bench.run("review", { id: flag!.id, state: "explained", note: "agreed with Ann", by: "Ben" });
      await bench.run("review", { id: flag!.id, state: "acted", note: "talked it over", by: "Ann" });
      const after = (await bench.run("findings", { rule: "alone-closed" })).findings;
      expect(after[0]).toMatchObject({ id: flag!.id, state: "acted", review: { by: "Ann", note: "talked it over" } });
      expect((await bench.run("findings", { state: "acted" })).findings.length).toBe(1);
      const then = await bench.run("findings", { rule: "alone-closed", asOf: at("+1 mon 00:00") });
      expect(then.findings[0]).toMatchObject({ id: flag!.id, state: "open", review: null });
      const connection = await bench.holder.store.connect();
      const kept = (await connection.runAndReadAll("SELECT state FROM finding_review ORDER BY review_id")).getRows();
      connection.closeSync();
      expect(kept).toEqual([["explained"], ["acted"]]);
    } finally {
      bench.close();
    }
  });

  test("keep their ids whatever the order of the files, and when a file is read twice", async () => {
    const files = [logOf(first), logOf(second)];
    const ids: string[][] = [];
    for (const order of [files, [...files].reverse(), [...files, files[0]!]]) {
      const bench = await openShopOfFiles(order);
      ids.push(((await bench.run("findings")).findings as Flag[]).map(({ id }) => id));
      bench.close();
    }
    expect(ids[0]!.length).toBeGreaterThan(3);
    expect(ids[1]).toEqual(ids[0]);
    expect(ids[2]).toEqual(ids[0]);
  });

  test("move with the log, week by week", async () => {
    const shown = async (shiftWeeks: number) => {
      const bench = await openShop([...first, ...second], { shiftWeeks });
      const flags: Flag[] = (await bench.run("findings")).findings;
      bench.close();
      const week = 7 * 86_400_000 * shiftWeeks;
      return flags.map(({ rule, station, badge, from, until }) => [
        rule,
        station,
        badge,
        Date.parse(from) - week,
        Date.parse(until) - week,
      ]);
    };
    const still = await shown(0);
    expect(still.length).toBeGreaterThan(3);
    expect(await shown(-1)).toEqual(still);
    expect(await shown(-5)).toEqual(still);
  });

  test("are held as evidence until a day, or until somebody ends it", async () => {
    const bench = await openShop(first);
    try {
      const [flag] = (await bench.run("findings", { rule: "alone-closed" })).findings as Flag[];
      const reason = "insurer asks";
      const [hold] = (await bench.run("hold add", { finding: flag!.id, reason, ends: "2199-01-31" })).holds;
      expect(hold).toMatchObject({ finding: flag!.id, reason, by: "command line", isInForce: true, endedAt: null });
      expect([hold.from, hold.until]).toEqual([at("wed 10:00").replace("Z", ".000Z"), at("fri 10:20").replace("Z", ".000Z")]);
      const span = { from: at("thu 00:00"), to: at("fri 00:00") };
      await bench.run("hold add", { ...span, reason, ends: "2199-01-31", machine: "planer", badge: "7" });
      expect((await bench.run("hold end", { id: 1 })).holds[0]).toMatchObject({
        id: 1,
        isInForce: false,
        endedBy: "command line",
      });
      const holds = (await bench.run("hold list")).holds;
      expect(holds).toMatchObject([
        { id: 2, machine: "planer", badge: "7", isInForce: true },
        { id: 1, isInForce: false },
      ]);
      await expect(bench.run("hold add", { reason, ends: "2199-01-31" })).rejects.toThrow(/from and to, or a finding/);
      await expect(bench.run("hold add", { ...span, reason, ends: "2001-01-31" })).rejects.toThrow(/a day to come/);
      await expect(bench.run("hold end", { id: 7 })).rejects.toThrow(/id of a hold/);
    } finally {
      bench.close();
    }
  });
});
