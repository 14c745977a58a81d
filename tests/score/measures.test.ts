import { describe, expect, test } from "vitest";
import { type Truth, table } from "../../sample-logs/truth.ts";
import { crossingDay, dueTable, type Window } from "./due.ts";
import { findingScores } from "./findings.ts";
import { boundsScores, hoursCells, hoursTables } from "./hours.ts";
import { clusteredShare, intervalScore, markdown, shareInterval } from "./measures.ts";
import { poissonTail } from "./true-findings.ts";

describe("measures", () => {
  test("interval score: width inside, ten times the miss outside at 80 %", () => {
    expect(intervalScore(2, 5, 3)).toBe(3);
    expect(intervalScore(2, 5, 6)).toBeCloseTo(13, 12);
    expect(intervalScore(2, 5, 1.5)).toBeCloseTo(8, 12);
  });

  test("Wilson's interval of 15 in 148", () => {
    // Newcombe, Statistics in Medicine 17 (1998) 857–872, table I, method 3, 15/148: 0.0624 to 0.1605 (the table from memory).
    const { low, high } = shareInterval(15, 148)!;
    expect(Math.abs(low - 0.0624)).toBeLessThanOrEqual(0.00005);
    expect(Math.abs(high - 0.1605)).toBeLessThanOrEqual(0.00005);
  });

  test("a clustered share is wider than a plain one where clusters agree within", () => {
    const apart = clusteredShare(Array.from({ length: 40 }, (_, index) => ({ hits: index % 5 === 0 ? 0 : 1, trials: 1 })))!;
    const together = clusteredShare(Array.from({ length: 10 }, (_, index) => ({ hits: index % 5 === 0 ? 0 : 4, trials: 4 })))!;
    expect(apart.share).toBe(0.8);
    expect(together.share).toBe(0.8);
    expect(together.high - together.low).toBeGreaterThan(apart.high - apart.low);
  });

  test("Poisson tails: P(X ≥ 1) at mean 0.5 is 1 − e^−0.5", () => {
    expect(poissonTail(1, 0.5)).toBeCloseTo(1 - Math.exp(-0.5), 12);
    expect(poissonTail(0, 3)).toBe(1);
  });

  test("a table shows what is missing as a dash", () => {
    expect(markdown(["a", "b"], [[1, null]])).toBe("| a   | b   |\n| --- | --- |\n| 1   | –   |");
  });
});

// A world by hand: one machine, one month, two sessions of an hour each.
const handmade = (planted: (string | number | null)[][] = []): Truth => {
  const empty = table([], []);
  const at = Date.UTC(2025, 0, 10, 12) / 1000;
  const session = (start: number) => [
    0,
    5,
    0,
    "000417",
    start,
    start + 3600,
    start + 3600,
    "released",
    1800,
    1,
    1,
    1,
    0,
    null,
    null,
  ];
  return {
    about: { workshop: "by hand", seed: 0, zone: "UTC", from: "2025-01-01", until: "2025-02-01", mess: false, findings: false },
    machines: ["table-saw-1"],
    groups: ["table-saw"],
    people: ["p001"],
    tables: {
      sessions: table(
        [
          "machine",
          "station",
          "person",
          "badge",
          "start",
          "end",
          "usualEnd",
          "ended",
          "motorSeconds",
          "starts",
          "enableSeen",
          "releaseSeen",
          "turn",
          "rule",
          "size",
        ],
        [session(at), session(at + 7200)],
      ),
      runHours: table(["machine", "month", "runHours", "enabledHours"], [["table-saw-1", "2025-01", 1, 2]]),
      planted: table(["rule", "machine", "group", "address", "badge", "from", "until", "size"], planted),
      slips: table(["machine", "from", "until", "address"], []),
      ...Object.fromEntries(
        [
          "motorOutside",
          "cuts",
          "losses",
          "files",
          "wishes",
          "rates",
          "visits",
          "downs",
          "lives",
          "meters",
          "opening",
          "signals",
        ].map((name) => [name, empty]),
      ),
    } as Truth["tables"],
  };
};
const month = (time: number) => new Date(time * 1000).toISOString().slice(0, 7);
const exact = (hours: number) => ({ low: hours, best: hours, high: hours });

/** A table without the blanks that line its columns up. */
const plain = (text: string) => text.replace(/ +/g, " ");

describe("hours", () => {
  test("right hours score no error, wrong ones theirs, and a certain wrong figure is told", () => {
    const right = hoursCells(
      handmade(),
      {
        rows: [
          {
            machine: "table-saw-1",
            from: "2025-01-01T00:00:00Z",
            enabledHours: exact(2),
            runHours: { low: 0.8, best: 1, high: 1.2 },
          },
        ],
      },
      month,
    );
    expect(right).toHaveLength(2);
    expect(plain(hoursTables(right, []))).toContain("| enabled hours | 1 | 0.00 % | 0.00 % | 0 | – | – | – | 0 of 1 |");
    const wrong = hoursCells(
      handmade(),
      { rows: [{ machine: "table-saw-1", from: "2025-01-01T00:00:00Z", enabledHours: exact(3), runHours: null }] },
      month,
    );
    expect(plain(hoursTables(wrong, []))).toContain("| enabled hours | 1 | 50.00 % | 50.00 % | 0 | – | – | – | 1 of 1 |");
  });

  test("a session outside its bounds is a broken one", () => {
    const at = new Date(Date.UTC(2025, 0, 10, 12)).toISOString();
    const told = (hours: number) => ({
      sessions: [{ machine: "table-saw-1", start: at, ended: "released", hours: exact(hours) }],
    });
    expect(boundsScores(handmade(), told(1))).toEqual([{ ended: "released", sessions: 1, broken: 0, meanWidthHours: 0 }]);
    expect(boundsScores(handmade(), told(0.9))[0]!.broken).toBe(1);
    const never = { sessions: [{ machine: "table-saw-1", start: "2025-01-20T12:00:00Z", ended: "released", hours: exact(1) }] };
    expect(boundsScores(handmade(), never)).toMatchObject([{ ended: "(began at no true start)", sessions: 1 }]);
  });
});

describe("findings", () => {
  const from = Date.UTC(2025, 0, 10, 12) / 1000;
  const flag = (rule: string, machine: string) => ({
    rule,
    machine,
    group: null,
    station: null,
    badge: null,
    from: "2025-01-10T12:00:00Z",
    until: "2025-01-10T13:00:00Z",
    expectedFalse: 0.5,
  });
  const truth = {
    rule: "long-session",
    machine: "table-saw-1",
    group: null,
    stations: ["005"],
    badge: null,
    from,
    until: from + 3600,
    isOptional: false,
  };

  test("a match needs rule, place and time", () => {
    const planted = handmade([["long-session", 0, null, 5, null, from, from + 3600, 10]]);
    const [score] = findingScores(["long-session"], planted, [truth], {
      findings: [flag("long-session", "table-saw-1"), flag("long-session", "mill")],
    });
    expect(score).toMatchObject({
      truths: 1,
      found: 1,
      flags: 2,
      right: 1,
      falseFlags: 1,
      expectedFalse: 0.5,
      sizes: [{ size: 10, planted: 1, found: 1 }],
    });
  });

  test("a border case is neither right nor false", () => {
    const [score] = findingScores(["long-session"], handmade(), [{ ...truth, isOptional: true }], {
      findings: [flag("long-session", "table-saw-1")],
    });
    expect(score).toMatchObject({ truths: 0, flags: 0, falseFlags: 0 });
  });
});

describe("due", () => {
  test("the crossing is the day on which the sum reaches what is left", () => {
    expect(crossingDay([1, 1, 1, 1], 1, 2)).toBe(2);
    expect(crossingDay([1, 1, 1, 1], 1, 5)).toBeNull();
  });

  test("the gap closed is nought for the plain mean and whole for the oracle", () => {
    const window = (missDays: number): Window => ({
      seed: 1,
      machine: `m${missDays}`,
      weeks: 1.5,
      isHit: true,
      missDays,
      missLast28: 6,
      missWeekHours: 5,
      missOracle: 2,
    });
    expect(plain(dueTable([window(6), window(6)]))).toContain("| 0 % |");
    expect(plain(dueTable([window(2), window(2)]))).toContain("| 100 % |");
  });
});
