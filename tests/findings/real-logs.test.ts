// Rules of chance on logs that others published: charging posts, and the proximity cards of a challenge with planted oddities.
// Where they come from stands beside them in SOURCE.md.
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";
import { type Finding, foundByRules } from "../../analytics/findings/index.ts";
import { fittedTail, normsOf } from "../../analytics/findings/norms/norms.ts";
import { gesd, modifiedZ } from "../../analytics/stats/index.ts";
import { deriveSessions } from "../../ingest/index.ts";
import { isInsufficient } from "../../shared/errors.ts";
import type { FindingRule } from "../../shared/finding-rules.ts";
import { profileFromText } from "../../shared/profile.ts";
import { type Bench, ingestPath, openBench, rows } from "../ingest/logs.ts";

const folder = process.env.ALMANAC_DATASETS ?? new URL("../../../shared/datasets/", import.meta.url).pathname;
const isThere = existsSync(join(folder, "vast2016-prox"));
if (!isThere) console.warn(`skipped: no proximity cards in ${folder}`);

const foundIn = (bench: Bench, only: FindingRule[], asOf: string, more: { hasHours?: boolean; hasRoster?: boolean } = {}) =>
  foundByRules(bench.connection, {
    zone: "UTC",
    asOf: new Date(asOf),
    since: undefined,
    until: undefined,
    seed: 1,
    switches: {},
    only,
    workshop: { hasHours: more.hasHours ?? false, hasRoster: more.hasRoster ?? false, addressBits: null },
  });

describe("charging posts", () => {
  test("at work: the session of 55 hours is found and fewer than one in fifty is flagged", async () => {
    const bench = await openBench();
    const real = fileURLToPath(new URL("../../sample-logs/real/workplace-charging/", import.meta.url));
    const profile = profileFromText("profile.yaml", readFileSync(join(real, "profile-repaired.yaml"), "utf8"));
    await ingestPath(bench, "charging.csv", join(real, "station_data_dataverse.csv"), { profile });
    await deriveSessions(bench.connection, { asOf: new Date("2016-01-01T00:00:00Z"), seed: 1 });
    const [all] = await rows(
      bench,
      "SELECT count(*)::int AS n, max(epoch(end_low) - epoch(started_at)) / 3600 AS longest FROM session",
    );
    expect(all!.n).toBeGreaterThan(3000);
    // SOURCE.md: the longest session lasted 55.2 hours.
    expect(Number(all!.longest)).toBeCloseTo(55.2, 1);
    const found = await foundIn(bench, ["long-session"], "2016-01-01T00:00:00Z");
    expect(found.some(({ evidence }) => Number(evidence.figures.seconds) / 3600 > 55)).toBe(true);
    expect(found.length / Number(all!.n)).toBeLessThan(0.02);
    for (const { expectedFalse, score } of found) {
      expect(score).toBeGreaterThan(3);
      expect(expectedFalse).toBeGreaterThan(0);
    }
    bench.close();
  });

  test("in the street: fewer than one in fifty is flagged, over machines whose sessions last minutes and days", async () => {
    const bench = await openBench();
    const real = fileURLToPath(new URL("../../sample-logs/real/public-charging/", import.meta.url));
    const profile = profileFromText("profile.yaml", readFileSync(join(real, "profile.yaml"), "utf8"));
    await ingestPath(bench, "streets.csv", join(real, "charging_processes.csv"), { profile });
    await deriveSessions(bench.connection, { asOf: new Date("2021-01-01T00:00:00Z"), seed: 1 });
    const [all] = await rows(bench, "SELECT count(*)::int AS n FROM session");
    const found = await foundIn(bench, ["long-session"], "2021-01-01T00:00:00Z");
    expect(found.length / Number(all!.n)).toBeLessThan(0.02);
    bench.close();
  });
});

describe("published outliers, through the functions that the rules judge by", () => {
  // NIST/SEMATECH e-Handbook 1.3.5.17.3, Rosner's 54 values of 1983: three outliers. The other figures: tests/stats/published.json.
  const published = JSON.parse(readFileSync(new URL("../stats/published.json", import.meta.url), "utf8")) as {
    id: string;
    input: { x: number[]; r?: number; alpha?: number };
  }[];
  const inputOf = (id: string) => published.find((example) => example.id === id)!.input;

  test("Rosner's three, and each of them rare by the norm made from all of the values", () => {
    const { x, r, alpha } = inputOf("gesd-rosner-54");
    const answer = gesd(x, { max: r, alpha });
    if (isInsufficient(answer)) throw new Error("54 values are enough");
    expect(answer.outliers.map((i) => x[i])).toEqual([5.34, 5.42, 6.01]);
    // As lengths whose logarithm they are.
    const lengths = x.map((value) => Math.exp(value + 5)).sort((a, b) => a - b);
    const norm = normsOf([{ machine: "m", group: "m", sessions: x.length, lengths }]).get("m")!;
    const tailOf = (value: number) => fittedTail(norm, Math.exp(value + 5));
    for (const outlier of [5.34, 5.42, 6.01]) expect(tailOf(outlier)).toBeLessThan(0.02);
    // The largest of the others.
    expect(tailOf(4.64)).toBeGreaterThan(0.04);
  });

  test("Iglewicz and Hoaglin's two", () => {
    const { x } = inputOf("modified-z-iglewicz-hoaglin");
    const answer = modifiedZ(x);
    if (isInsufficient(answer)) throw new Error("ten values are enough");
    expect(answer.outliers.map((i) => x[i])).toEqual([8.2, 8.3]);
    const lengths = x.map((value) => Math.exp(value + 5)).sort((a, b) => a - b);
    const { centre } = normsOf([{ machine: "m", group: "m", sessions: x.length, lengths }]).get("m")!;
    expect(centre - 5).toBeCloseTo(answer.median, 9);
  });
});

describe.skipIf(!isThere)("proximity cards (ends: badge-elsewhere)", () => {
  const asOf = "2016-06-14T00:00:00Z";

  async function openCards(firstCardsOnly: boolean): Promise<Bench> {
    const bench = await openBench();
    const profile = profileFromText(
      "profile.yaml",
      "profile: prox\nformat: csv\nends: badge-elsewhere\nfields: {time: timestamp, station: zone, badge: prox-id, detail: floor}\n",
    );
    await ingestPath(bench, "prox.csv", join(folder, "vast2016-prox/proxOut-MC2.csv"), { profile });
    // SOURCE.md: a card's name is the person and three digits; 002 to 005 are replacement cards.
    await bench.connection.run(
      `INSERT INTO roster
       SELECT DISTINCT badge, badge[:-4], NULL, 'member', NULL, NULL, '[]' FROM event
       WHERE badge LIKE '%001' OR NOT $first_only::boolean`,
      { first_only: firstCardsOnly },
    );
    await bench.connection.run(
      `INSERT INTO opening
       SELECT d + INTERVAL 7 HOUR, d + INTERVAL 19 HOUR, 'staffed', d::date
       FROM (SELECT unnest(generate_series(TIMESTAMPTZ '2016-05-31', TIMESTAMPTZ '2016-06-13', INTERVAL 1 DAY)) AS d)
       WHERE dayofweek(d) BETWEEN 1 AND 5`,
    );
    await deriveSessions(bench.connection, { asOf: new Date(asOf), seed: 1 });
    return bench;
  }

  const badgesOf = (found: Finding[]) => [...new Set(found.map(({ badge }) => badge))].sort();

  test("replaced cards: with first cards on the roster the others are told, as the six persons that SOURCE.md counts", async () => {
    const bench = await openCards(true);
    const found = await foundIn(bench, ["unlisted-badge"], asOf, { hasRoster: true });
    const cards = badgesOf(found);
    expect(cards.every((card) => /00[2-5]$/.test(card ?? ""))).toBe(true);
    const [truth] = await rows(
      bench,
      "SELECT count(DISTINCT badge)::int AS cards, count(DISTINCT badge[:-4])::int AS persons FROM event WHERE badge NOT LIKE '%001'",
    );
    expect(cards).toHaveLength(Number(truth!.cards));
    // 122 cards for 114 persons, 6 persons with more than one.
    const persons = new Set(cards.map((card) => card!.slice(0, -3)));
    const [several] = await rows(
      bench,
      "SELECT count(*)::int AS n FROM (SELECT badge[:-4] AS person FROM event GROUP BY person HAVING count(DISTINCT badge) > 1)",
    );
    expect(several!.n).toBe(6);
    expect([...persons].length).toBeGreaterThanOrEqual(6);
    bench.close();
  });

  test("night presence: a few persons, found by the rules of closed hours, and no alarm for every evening", async () => {
    const bench = await openCards(false);
    const [night] = await rows(
      bench,
      `SELECT count(DISTINCT badge[:-4])::int AS persons, count(DISTINCT occurred_at::date)::int AS nights
       FROM event WHERE hour(occurred_at) < 5`,
    );
    expect(Number(night!.persons)).toBeLessThan(20);
    const found = await foundIn(bench, ["alone-closed", "closed-use"], asOf, { hasHours: true, hasRoster: true });
    const dayOf = (time: Date) => time.toISOString().slice(0, 10);
    const nights = new Set(
      found.filter(({ from, until }) => from.getUTCHours() < 7 || dayOf(from) !== dayOf(until)).map(({ from }) => dayOf(from)),
    );
    expect(nights.size).toBeGreaterThanOrEqual(Number(night!.nights) - 1);
    // SOURCE.md: nobody on Saturday 4 June.
    expect(found.some(({ from, until }) => dayOf(from) === "2016-06-04" && dayOf(until) === "2016-06-04")).toBe(false);
    bench.close();
  });
});
