// The pure judgements of the rules of chance: quiet where nothing is wrong, with as many false flags as they say.
import { describe, expect, test } from "vitest";
import { jumperBetween } from "../../analytics/findings/address-slip/jumpers.ts";
import { judgeLeftIn, type PastClosing } from "../../analytics/findings/left-in/judge.ts";
import { farBeyond } from "../../analytics/findings/long-session/judge.ts";
import type { Norms } from "../../analytics/findings/norms/load-norms.ts";
import {
  calibrationFrom,
  fittedTail,
  lengthFences,
  normsOf,
  type Sample,
  secondsAt,
} from "../../analytics/findings/norms/norms.ts";
import { type GroupWeek, offTrend } from "../../analytics/findings/off-trend-use/judge.ts";
import { densest, habitOf, tooDense } from "../../analytics/findings/refusal-run/judge.ts";
import { tooSilent } from "../../analytics/findings/silent-station/judge.ts";
import { shopRate, tooMany } from "../../analytics/findings/station-weeks/judge.ts";
import type { Random } from "../../analytics/stats/index.ts";
import { seeded } from "../stats/random.ts";

const normal = (random: Random) => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
function poisson(mean: number, random: Random): number {
  let count = 0;
  for (let product = random(); product > Math.exp(-mean); product *= random()) count++;
  return count;
}

interface Kind {
  machine: string;
  group: string;
  minutes: number;
  spread: number;
  sessions: number;
}
const kinds: Kind[] = [
  { machine: "saw", group: "saw", minutes: 12, spread: 0.55, sessions: 3000 },
  { machine: "drill-1", group: "drill", minutes: 7, spread: 0.7, sessions: 2500 },
  { machine: "drill-2", group: "drill", minutes: 8, spread: 0.7, sessions: 40 },
  { machine: "mill", group: "mill", minutes: 42, spread: 0.5, sessions: 900 },
  { machine: "kiln", group: "kiln", minutes: 480, spread: 0.15, sessions: 250 },
  { machine: "printer", group: "printer", minutes: 240, spread: 0.9, sessions: 600 },
];

function normsFrom(samples: Sample[]): Norms {
  const byMachine = normsOf(samples);
  const calibrate = calibrationFrom(samples, byMachine);
  return {
    byMachine,
    calibrate,
    nameOf: (machine) => machine,
    tail: (machine, seconds) => calibrate(fittedTail(byMachine.get(machine)!, seconds)),
    fences: (machine) => lengthFences(byMachine.get(machine)!),
  };
}

function shopOf(random: Random) {
  const sessions = kinds.flatMap(({ machine, minutes, spread, sessions: count }) =>
    Array.from({ length: count }, () => ({ machine, seconds: minutes * 60 * Math.exp(spread * normal(random)) })),
  );
  const samples = kinds.map(({ machine, group, sessions: count }) => ({
    machine,
    group,
    sessions: count,
    lengths: sessions.flatMap((one) => (one.machine === machine ? [one.seconds] : [])).sort((a, b) => a - b),
  }));
  return { sessions, samples };
}

describe("sessions far beyond the norm", () => {
  test("where nothing is wrong as many are flagged as expectedFalse says, to a fifth, and no kind of machine has more than its share", () => {
    const random = seeded(23);
    let flags = 0;
    let expected = 0;
    const by = new Map<string, number>();
    const worlds = 40;
    for (let world = 0; world < worlds; world++) {
      const { sessions, samples } = shopOf(random);
      const answer = farBeyond(sessions, normsFrom(samples), { rate: 0.2, tests: sessions.length });
      flags += answer.sessions.length;
      expected += answer.expectedFalse;
      for (const { machine } of answer.sessions) by.set(machine, (by.get(machine) ?? 0) + 1);
    }
    expect(expected / worlds).toBeGreaterThan(0.5);
    expect(flags / expected).toBeGreaterThan(0.8);
    expect(flags / expected).toBeLessThan(1.25);
    // Kilns and printers are one session in eight and a half.
    expect((by.get("kiln") ?? 0) + (by.get("printer") ?? 0)).toBeLessThan(0.35 * flags);
  });

  test("what is ten times the norm is found, what is three times is not; the printer's long nights are nothing", () => {
    const { sessions, samples } = shopOf(seeded(29));
    const planted = [
      { machine: "saw", seconds: 12 * 60 * 10 },
      { machine: "mill", seconds: 42 * 60 * 10 },
      { machine: "kiln", seconds: 480 * 60 * 3 },
      { machine: "saw", seconds: 12 * 60 * 3 },
      { machine: "printer", seconds: 240 * 60 * 4 },
    ];
    const { sessions: found } = farBeyond([...sessions, ...planted], normsFrom(samples), {
      rate: 0.2,
      tests: sessions.length + planted.length,
    });
    const isFound = planted.map((one) =>
      found.some(({ machine, seconds }) => machine === one.machine && seconds === one.seconds),
    );
    expect(isFound).toEqual([true, true, true, false, false]);
  });

  test("few sessions borrow from their group: two short ones don't make an ordinary third one odd", () => {
    const like = { machine: "a", group: "g", sessions: 400, lengths: Array.from({ length: 400 }, (_, i) => 300 + 3 * i) };
    const few = { machine: "b", group: "g", sessions: 2, lengths: [290, 310] };
    const alone = normsOf([few]).get("b")!;
    const both = normsOf([like, few]).get("b")!;
    expect(both.borrowed).toBeGreaterThan(0.9);
    expect(both.centre).toBeGreaterThan(alone.centre);
    expect(fittedTail(both, 900)).toBeGreaterThan(0.01);
    expect(fittedTail(both, 24 * 3600)).toBeLessThan(1e-3);
  });

  test("outliers have next to no say in the norm that they are judged by", () => {
    const clean = Array.from({ length: 500 }, (_, i) => 60 * Math.exp(0.5 * Math.sin(i) + i / 400)).sort((a, b) => a - b);
    const dirty = [...clean.slice(0, 495), ...Array.from({ length: 5 }, () => 1e6)];
    const [a, b] = [clean, dirty].map((lengths) => normsOf([{ machine: "m", group: "m", sessions: 500, lengths }]).get("m")!);
    expect(b!.centre).toBeCloseTo(a!.centre, 6);
    expect(b!.spread / a!.spread).toBeCloseTo(1, 2);
  });

  test("a length and its chance are each other's inverse; another unit changes no chance", () => {
    const sample = { machine: "m", group: "m", sessions: 300, lengths: Array.from({ length: 300 }, (_, i) => 100 + i * 7) };
    const norm = normsOf([sample]).get("m")!;
    for (const tail of [0.1, 1e-3, 1e-6]) expect(fittedTail(norm, secondsAt(norm, tail)) / tail).toBeCloseTo(1, 6);
    const scaled = normsOf([{ ...sample, lengths: sample.lengths.map((seconds) => 60 * seconds) }]).get("m")!;
    expect(fittedTail(scaled, 60 * 4000)).toBeCloseTo(fittedTail(norm, 4000), 12);
  });
});

describe("badges left in", () => {
  const session: PastClosing = {
    from: new Date("2025-03-04T20:30:00Z"),
    closedAt: new Date("2025-03-04T22:00:00Z"),
    until: new Date("2025-03-05T07:00:00Z"),
    isEndSeen: true,
    lastMotorAt: null,
    hasMotor: false,
    usualSeconds: 900,
    tail: 1e-6,
    pastClosingShare: 0.01,
  };
  test("from the usual end on", () => {
    expect(judgeLeftIn(session, 1800)).toEqual({ usualEnd: new Date("2025-03-04T20:45:00Z"), hoursPast: 9 });
    // Whoever began shortly before closing is taken to have stopped at closing.
    expect(judgeLeftIn({ ...session, from: new Date("2025-03-04T21:55:00Z") }, 1800)?.usualEnd).toEqual(session.closedAt);
    // A motor that turned later than usual: until then somebody was at work.
    const turned = { ...session, hasMotor: true, lastMotorAt: new Date("2025-03-04T21:30:00Z") };
    expect(judgeLeftIn(turned, 1800)?.usualEnd).toEqual(turned.lastMotorAt);
  });
  test("a motor that turned on after closing is a long job", () => {
    expect(judgeLeftIn({ ...session, hasMotor: true, lastMotorAt: new Date("2025-03-05T02:00:00Z") }, 1800)).toBeNull();
  });
  test("a kiln that fires overnight is at its work; one that went on for days is not", () => {
    expect(judgeLeftIn({ ...session, pastClosingShare: 0.6, tail: 0.4 }, 1800)).toBeNull();
    expect(judgeLeftIn({ ...session, pastClosingShare: 0.6, tail: 1e-5 }, 1800)).not.toBeNull();
  });
});

test("one jumper apart, named by its worth", () => {
  expect(jumperBetween("051", "050", 6)).toBe(1);
  expect(jumperBetween("036", "032", 6)).toBe(4);
  expect(jumperBetween("36", "4", 6)).toBe(32);
  expect(jumperBetween("5", "6", 6)).toBeNull();
  expect(jumperBetween("5", "5", 6)).toBeNull();
  // 64 needs a seventh jumper; a name is no address.
  expect(jumperBetween("0", "64", 6)).toBeNull();
  expect(jumperBetween("gate", "5", 6)).toBeNull();
});

describe("weeks of a station", () => {
  const weeksOf = (random: Random, rate: number, scatter = 0) =>
    Array.from({ length: 1800 }, (_, i) => {
      const sessions = 3 + (i % 40);
      const luck = scatter === 0 ? 1 : Math.exp(scatter * normal(random) - scatter ** 2 / 2);
      return { sessions, count: Math.min(sessions, poisson(rate * luck * sessions, random)) };
    });

  test("where nothing is wrong as many are flagged as expectedFalse says, to a fifth", () => {
    for (const scatter of [0, 0.5]) {
      const random = seeded(31);
      let flags = 0;
      let expected = 0;
      for (let world = 0; world < 150; world++) {
        const answer = tooMany(weeksOf(random, 0.02, scatter), { rate: 0.1 });
        flags += answer.weeks.length;
        expected += answer.expectedFalse;
      }
      // Scatter is log-normal here and gamma in the rule: its far tail is heavier than was assumed.
      expect(flags / expected, `scatter ${scatter}`).toBeGreaterThan(0.8);
      expect(flags / expected, `scatter ${scatter}`).toBeLessThan(scatter === 0 ? 1.25 : 2.5);
      expect(flags / 150, `scatter ${scatter}`).toBeLessThan(2);
    }
  });

  test("bad weeks are found and don't raise the rate they are judged by", () => {
    const random = seeded(37);
    const weeks = weeksOf(random, 0.005);
    const bad = Array.from({ length: 12 }, () => ({ sessions: 30, count: 9 }));
    const clean = shopRate(weeks);
    const dirty = shopRate([...weeks, ...bad]);
    expect(dirty.rate / clean.rate).toBeCloseTo(1, 1);
    expect(tooMany([...weeks, ...bad], { rate: 0.1 }).weeks.filter(({ count }) => count === 9).length).toBe(12);
  });

  test("a shop that never missed one flags neither a single one nor an empty log", () => {
    const weeks = Array.from({ length: 200 }, () => ({ sessions: 20, count: 0 }));
    expect(tooMany([...weeks, { sessions: 20, count: 1 }], { rate: 0.1 }).weeks).toEqual([]);
    expect(tooMany([], { rate: 0.1 }).weeks).toEqual([]);
  });
});

test("silences: the line stays where it is however many there are", () => {
  const silences = [{ weight: 4 }, { weight: 11 }, { weight: 12 }, { weight: 200 }];
  const answer = tooSilent(silences, { rate: 0.1, tests: 50_000 });
  expect(answer.silences).toEqual([{ weight: 12 }, { weight: 200 }]);
  expect(answer.expectedFalse).toBeCloseTo(0.5, 12);
});

describe("refusals", () => {
  const single = (station: string) => ({ station, badges: 1, count: 1, times: [0] });
  const run = (count: number, badges = 1, step = 9) => ({
    station: "21",
    badges,
    count,
    times: Array.from({ length: count }, (_, i) => i * step),
  });
  const openSeconds = 4000 * 3600;

  test("the most within a window", () => {
    expect(densest([0, 10, 20, 100, 105, 106], 10)).toBe(3);
    expect(densest([0, 10, 20], 0)).toBe(1);
  });

  test("where people seldom try again four in a row are enough, two are not", () => {
    const singles = Array.from({ length: 200 }, (_, i) => single(String(i % 18)));
    const counts = tooDense([...singles, run(4), run(2)], { rate: 0.1, openSeconds }).runs.map(({ count }) => count);
    expect(counts).toEqual([4]);
  });

  test("where every third tries again and again, four in a row are nothing; ten are", () => {
    const singles = Array.from({ length: 120 }, (_, i) => single(String(i % 18)));
    const again = Array.from({ length: 60 }, (_, i) => run(i % 2 === 0 ? 2 : 3));
    const counts = tooDense([...singles, ...again, run(4), run(15)], { rate: 0.1, openSeconds }).runs.map(({ count }) => count);
    expect(counts).toEqual([15]);
    expect(habitOf(again).again).toBeGreaterThan(0.9);
  });

  test("badge after badge is nobody's habit", () => {
    const again = Array.from({ length: 100 }, (_, i) => run(i % 2 === 0 ? 2 : 3));
    const found = tooDense([...again, run(5, 5)], { rate: 0.1, openSeconds }).runs;
    expect(found.map(({ badges }) => badges)).toContain(5);
  });
});

describe("use off its trend", () => {
  const groups = [30, 24, 18, 15, 12, 12, 10, 8];
  const shop = (random: Random, factor: (group: number, week: number) => number, tide: (week: number) => number = () => 1) =>
    groups.flatMap((mean, group) =>
      Array.from({ length: 104 }, (_, week): GroupWeek => {
        const turns = poisson(mean * factor(group, week) * tide(week), random);
        return {
          group: `g${group}`,
          week,
          turns,
          units: 1,
          inOrder: 1,
          heard: 1,
          openHours: [8, 13, 13, 13, 13, 6, 8],
          turnsByDay: [15, 18, 18, 18, 18, 20, 22],
        };
      }),
    );
  const season = (week: number) => 1 + 0.25 * Math.sin((2 * Math.PI * week) / 52);

  test("where nothing is wrong but the season, about as many are flagged as expectedFalse says", () => {
    const random = seeded(41);
    let flags = 0;
    let expected = 0;
    for (let world = 0; world < 40; world++) {
      const answer = offTrend(
        shop(random, () => 1, season),
        { rate: 0.4 },
      );
      flags += answer.weeks.length;
      expected += answer.expectedFalse;
    }
    // About a hundred flags: chance alone moves the ratio by a tenth.
    expect(flags).toBeGreaterThan(40);
    expect(flags / expected).toBeLessThan(1.4);
    expect(flags / expected).toBeGreaterThan(0.6);
  });

  test("a tripled week and an empty one are found; a week in which the whole shop was quiet is not", () => {
    const factor = (group: number, week: number) => (group === 1 && week === 50 ? 3 : group === 0 && week === 70 ? 0.1 : 1);
    const found = offTrend(
      shop(seeded(43), factor, (week) => (week === 30 ? 0.4 : season(week))),
      { rate: 0.05 },
    ).weeks.map(({ group, week }) => `${group} ${week}`);
    expect(found).toContain("g1 50");
    expect(found).toContain("g0 70");
    expect(found.filter((one) => one.endsWith(" 30"))).toEqual([]);
  });

  test("what was silent or out of order is no fall in use", () => {
    const rows = shop(seeded(47), (group, week) => (group === 0 && (week === 60 || week === 61) ? 0 : 1)).map((row) =>
      row.group === "g0" && row.week === 60
        ? { ...row, heard: 0.2 }
        : row.group === "g0" && row.week === 61
          ? { ...row, inOrder: 0 }
          : row,
    );
    expect(offTrend(rows, { rate: 0.05 }).weeks.filter(({ group, week }) => group === "g0" && week >= 60 && week < 64)).toEqual(
      [],
    );
  });

  test("four weeks are too few to say anything", () => {
    const rows = shop(seeded(53), () => 1).filter(({ week }) => week < 4);
    expect(offTrend(rows, { rate: 0.05 }).judged).toEqual([]);
  });
});
