import type { DuckDBConnection } from "@duckdb/node-api";
import { describe, expect, test } from "vitest";
import { deriveSessions } from "../../ingest/derive/index.ts";
import { alive, derive, fill, inEmptyShop, instant, type Line, reading, sessions, shown } from "./shop.ts";

/** Two seen hours on station 1 the day before, so that its longest session is 2 h. */
const norm: Line[] = [
  { at: "1 10:00", kind: "enable", badge: "n" },
  { at: "1 12:00", kind: "release", badge: "n" },
];

async function told(lines: Line[], asOf: string): Promise<string[]> {
  return inEmptyShop(async (connection) => {
    await fill(connection, [...norm, ...lines]);
    return (await derive(connection, asOf)).slice(1).map(shown);
  });
}

describe("how a session ends", () => {
  test("released by its badge, and by a release without badge", async () => {
    expect(
      await told(
        [
          { at: "2 10:00", kind: "enable", badge: "a" },
          { at: "2 10:30", kind: "release", badge: "a" },
          { at: "2 11:00", kind: "enable", badge: "b" },
          { at: "2 11:30", kind: "release" },
        ],
        "2 12:00",
      ),
    ).toEqual(["1 a 10:00-10:30 released", "1 b 11:00-11:30 released"]);
  });

  test("another badge's release ends nothing, before or after the own one", async () => {
    expect(
      await told(
        [
          { at: "2 10:00", kind: "enable", badge: "a" },
          { at: "2 10:10", kind: "release", badge: "x" },
          { at: "2 10:20", kind: "release", badge: "y" },
          { at: "2 10:30", kind: "release", badge: "a" },
          { at: "2 10:30:08", kind: "release", badge: "a" },
          { at: "2 11:00", kind: "enable", badge: "b" },
          { at: "2 11:10", kind: "release", badge: "a" },
          { at: "2 11:20", kind: "enable", badge: "c" },
          { at: "2 11:40", kind: "release", badge: "c" },
        ],
        "2 12:00",
      ),
    ).toEqual(["1 a 10:00-10:30 released", "1 b 11:00-11:00..11:20 superseded", "1 c 11:20-11:40 released"]);
  });

  test("superseded within the machine's longest seen session, lost beyond it", async () => {
    expect(
      await told(
        [
          { at: "2 10:00", kind: "enable", badge: "a" },
          { at: "2 12:00", kind: "enable", badge: "b" },
          { at: "2 14:01", kind: "enable", badge: "c" },
          { at: "2 14:10", kind: "release", badge: "c" },
        ],
        "2 15:00",
      ),
    ).toEqual(["1 a 10:00-10:00..12:00 superseded", "1 b 12:00-12:00..14:01 lost", "1 c 14:01-14:10 released"]);
  });

  test("open while it may still run, lost after that", async () => {
    const lines: Line[] = [{ at: "2 10:00", kind: "enable", badge: "a" }];
    expect(await told(lines, "2 12:00")).toEqual(["1 a 10:00-10:00..12:00 open"]);
    expect(await told(lines, "2 12:01")).toEqual(["1 a 10:00-10:00..12:01 lost"]);
  });

  test("restarted by a boot", async () => {
    expect(
      await told(
        [
          { at: "2 10:00", kind: "enable", badge: "a" },
          { at: "2 10:40", kind: "boot" },
          { at: "2 10:50", kind: "release", badge: "a" },
        ],
        "2 15:00",
      ),
    ).toEqual(["1 a 10:00-10:00..10:40 restarted"]);
  });

  test("chatter is one session with several starts; another badge or a longer pause is another", async () => {
    expect(
      await told(
        [
          { at: "2 10:00:00", kind: "enable", badge: "a" },
          { at: "2 10:00:01", kind: "release", badge: "a" },
          { at: "2 10:00:02", kind: "enable", badge: "a" },
          { at: "2 10:00:03", kind: "enable", badge: "a" },
          { at: "2 10:30:00", kind: "release", badge: "a" },
          { at: "2 10:30:01", kind: "enable", badge: "b" },
          { at: "2 10:40:00", kind: "release" },
          { at: "2 10:40:01", kind: "enable", badge: "c" },
          { at: "2 10:50:00", kind: "release", badge: "c" },
          { at: "2 10:50:03", kind: "enable", badge: "c" },
          { at: "2 10:55:00", kind: "release", badge: "c" },
        ],
        "2 15:00",
      ),
    ).toEqual([
      "1 a 10:00-10:30 released x3",
      "1 b 10:30:01-10:40 released",
      "1 c 10:40:01-10:50 released",
      "1 c 10:50:03-10:55 released",
    ]);
  });
});

describe("a release whose enable was lost", () => {
  /** Ten seen sessions of station 1, of ten minutes to an hour, the last of them released at 11:58 of the tenth day. */
  const usual: Line[] = Array.from({ length: 10 }, (_, day) => [
    { at: `${day + 1} 11:00`, kind: "enable", badge: "n" },
    { at: `${day + 1} ${day === 9 ? "11:58" : `11:${10 + 5 * day}`}`, kind: "release", badge: "n" },
  ]).flat();
  const unbegun = (lines: Line[]) =>
    inEmptyShop(async (connection) => {
      await fill(connection, [...usual, ...lines]);
      return (await derive(connection, "10 20:00")).filter((row) => row.ended === "released" && row.end_draws !== null);
    });

  test("is a session that ended then; its length is one of the machine's, no longer than since the release before", async () => {
    const [row, ...others] = await unbegun([{ at: "10 13:00", kind: "release", badge: "a" }]);
    expect(others).toEqual([]);
    expect(row).toMatchObject({
      badge: "a",
      station: "1",
      starts: 1,
      cause_id: null,
      ended_at: instant("10 13:00"),
      end_best: instant("10 13:00"),
    });
    const seconds = (time: Date) => (time.getTime() - row!.started_at.getTime()) / 1000;
    expect([seconds(row!.end_low), seconds(row!.end_high)]).toEqual([0, 3720]);
    const draws = [...row!.end_draws!].sort((a, b) => a - b);
    expect([draws[0], draws.at(-1)]).toEqual([600, 3480]);
    const median = seconds(row!.end_best);
    expect(draws.filter((draw) => draw < median - 1).length).toBeLessThanOrEqual(50);
    expect(draws.filter((draw) => draw > median + 1).length).toBeLessThanOrEqual(50);
    expect(row!.started_at > instant("10 11:58")).toBe(true);
  });

  test("ran at least since its motor was first heard", async () => {
    const lines: Line[] = [
      { at: "10 12:20", kind: "motor-on" },
      { at: "10 12:25", kind: "motor-off" },
      { at: "10 12:30", kind: "motor-on" },
      { at: "10 12:50", kind: "motor-off" },
      { at: "10 13:00", kind: "release", badge: "a" },
    ];
    const [row] = await unbegun(lines);
    expect(row!.end_low.getTime() - row!.started_at.getTime()).toBe(40 * 60_000);
    expect(Math.min(...row!.end_draws!)).toBeGreaterThanOrEqual(2400);
    expect(row!.started_at <= instant("10 12:20")).toBe(true);
  });

  test("need not name its badge, and a counter that skipped a number agrees", async () => {
    const rows = await unbegun([
      { at: "10 12:00", badge: "a", sequence: 16 },
      { at: "10 12:05", kind: "release", sequence: 17 },
      { at: "10 13:00", kind: "release", sequence: 19 },
    ]);
    expect(rows).toMatchObject([{ badge: null, ended_at: instant("10 13:00") }]);
  });

  test("did not begin while the counter misses no number: a motor that turned then was another matter", async () => {
    const [row] = await unbegun([
      { at: "10 12:00", badge: "a", sequence: 16 },
      { at: "10 12:05", kind: "release", sequence: 17 },
      { at: "10 12:20", kind: "motor-on", sequence: 18 },
      { at: "10 12:25", kind: "motor-off", sequence: 19 },
      { at: "10 12:40", kind: "motor-on", sequence: 21 },
      { at: "10 12:50", kind: "motor-off", sequence: 22 },
      { at: "10 13:00", kind: "release", sequence: 23 },
    ]);
    const begun = row!.started_at.getTime();
    expect([row!.end_low.getTime() - begun, row!.end_high.getTime() - begun]).toEqual([20 * 60_000, 35 * 60_000]);
  });

  test("keeps its id, whatever is learnt of lengths and whatever comes later", async () => {
    const lone: Line = { at: "10 13:00", kind: "release", badge: "a" };
    const [first] = await unbegun([lone]);
    const [second] = await unbegun([lone, { at: "10 13:30", badge: "b" }, { at: "10 17:30", kind: "release", badge: "b" }]);
    expect(second!.session_id).toBe(first!.session_id);
  });

  test.each<[string, Line[]]>([
    ["comes within ten seconds of the one before", [{ at: "10 11:58:09", kind: "release", badge: "a" }]],
    [
      "has another close behind",
      [
        { at: "10 13:00", kind: "release", badge: "a" },
        { at: "10 13:10", kind: "release", badge: "b" },
        { at: "10 13:20", kind: "release", badge: "b" },
      ],
    ],
    [
      "is of a badge that was refused",
      [
        { at: "10 12:30", kind: "refuse", badge: "a" },
        { at: "10 13:00", kind: "release", badge: "a" },
      ],
    ],
    [
      "names no badge and one was refused",
      [
        { at: "10 12:30", kind: "refuse", badge: "b" },
        { at: "10 13:00", kind: "release" },
      ],
    ],
    [
      "follows the one before in the counter",
      [
        { at: "10 12:00", badge: "a", sequence: 16 },
        { at: "10 12:05", kind: "release", sequence: 17 },
        { at: "10 13:00", kind: "release", sequence: 18 },
      ],
    ],
    [
      "follows a boot",
      [
        { at: "10 12:30", kind: "boot" },
        { at: "10 13:00", kind: "release", badge: "a" },
      ],
    ],
    [
      "has an enable",
      [
        { at: "10 12:30", badge: "a" },
        { at: "10 13:00", kind: "release", badge: "a" },
      ],
    ],
    [
      "is at a station that has no enables",
      [
        { at: "10 13:00", kind: "release", badge: "a", station: "2" },
        { at: "10 14:00", kind: "release", badge: "b", station: "2" },
      ],
    ],
    [
      "is stamped by a clock that was not set",
      [{ at: "10 13:00", kind: "release", badge: "a", early: "10 12:30", late: "10 13:30" }],
    ],
  ])("is none where it %s", async (_why, lines) => {
    expect(await unbegun(lines)).toEqual([]);
  });

  test("a refusal of another badge, and a stray release, change nothing", async () => {
    const lines: Line[] = [
      { at: "10 11:30", kind: "release", badge: "x" },
      { at: "10 12:30", kind: "refuse", badge: "b" },
      { at: "10 13:00", kind: "release", badge: "a" },
    ];
    expect((await unbegun(lines)).map((row) => row.ended_at)).toEqual([instant("10 13:00")]);
  });
});

describe("logs of sessions", () => {
  test("are believed, overlaps and twins kept; a row without finish ends by what comes next", async () => {
    await inEmptyShop(async (connection) => {
      await connection.run(`INSERT INTO stretch (reading_id, line, station, badge, started_at, finished_at, detail, repair, original) VALUES
        (1, 1, '1', 'a', '2025-03-02 10:00:00+00', '2025-03-02 12:00:00+00', NULL, NULL, NULL),
        (1, 2, '1', 'b', '2025-03-02 11:00:00+00', '2025-03-02 11:30:00+00', NULL, NULL, NULL),
        (1, 3, '1', 'b', '2025-03-02 11:00:00+00', '2025-03-02 11:40:00+00', NULL, NULL, NULL),
        (1, 4, '1', 'c', '2025-03-02 13:00:00+00', NULL, NULL, NULL, NULL),
        (1, 5, '1', 'd', '2025-03-02 14:00:00+00', '2025-03-02 14:00:00+00', NULL, NULL, NULL)`);
      const rows = await derive(connection, "2 15:00");
      expect(rows.map(shown).sort()).toEqual([
        "1 a 10:00-12:00 released",
        "1 b 11:00-11:30 released",
        "1 b 11:00-11:40 released",
        "1 c 13:00-13:00..14:00 superseded",
        "1 d 14:00-14:00 released",
      ]);
      expect(new Set(rows.map((row) => row.session_id)).size).toBe(5);
    });
  });
});

describe("a badge that is read somewhere else", () => {
  test("ends its stretch there; many may be at one station", async () => {
    await inEmptyShop(async (connection) => {
      await reading(connection, 1, { ends: "badge-elsewhere", rows: "events" });
      await fill(connection, [
        { at: "2 10:00", station: "7", badge: "a" },
        { at: "2 10:05", station: "7", badge: "b" },
        { at: "2 10:10", station: "7", badge: "a" },
        { at: "2 10:30", station: "8", badge: "a" },
        { at: "2 10:40", station: "7", badge: "a" },
        { at: "2 10:50", station: "7", kind: "release", badge: "b" },
      ]);
      expect((await derive(connection, "2 10:45")).map(shown)).toEqual([
        "7 a 10:00-10:30 released",
        "7 b 10:05-10:05..10:45 lost",
        "8 a 10:30-10:40 released",
        "7 a 10:40-10:40..10:45 open",
      ]);
    });
  });
});

describe("power and network", () => {
  /** Three stations, each with a seen session of two hours the day before; signs of life every minute. */
  const three: Line[] = ["1", "2", "3"].flatMap((station) => norm.map((line) => ({ ...line, station })));
  const causes = async (connection: DuckDBConnection) =>
    (
      await connection.runAndReadAll(
        "SELECT cause_id, kind, from_low, from_high, until_at, stations, text FROM cause ORDER BY from_low",
      )
    ).getRowObjectsJS() as {
      cause_id: number;
      kind: string;
      from_low: Date;
      from_high: Date;
      until_at: Date;
      stations: string;
      text: string;
    }[];

  test("a power cut ends every session at one time, between the last sign of life of any and the first boot", async () => {
    await inEmptyShop(async (connection) => {
      await fill(connection, [
        ...three,
        { at: "2 10:00", station: "1", badge: "a" },
        { at: "2 10:10", station: "2", badge: "b" },
        { at: "2 14:00:20", station: "1", kind: "boot" },
        { at: "2 14:00:40", station: "2", kind: "boot" },
        { at: "2 14:01:30", station: "3", kind: "boot" },
      ]);
      await alive(connection, "1", "2 09:00:00", "2 11:00:00");
      await alive(connection, "2", "2 09:00:20", "2 11:00:20");
      await alive(connection, "3", "2 09:00:40", "2 11:00:40");
      for (const station of ["1", "2", "3"]) await alive(connection, station, "2 14:02", "2 15:00");
      const rows = (await derive(connection, "2 15:00")).slice(3);
      expect(rows.map(shown)).toEqual(["1 a 10:00-11:00:40..14:00:20 restarted", "2 b 10:10-11:00:40..14:00:20 restarted"]);
      const [cut] = await causes(connection);
      expect(cut).toMatchObject({ kind: "power-cut", stations: '["1","2","3"]' });
      expect(cut?.text).toBe(
        "Stations 1, 2 and 3 fell silent together and started anew together: the power was cut. It ended 2 sessions.",
      );
      expect(rows.map((row) => row.cause_id)).toEqual([cut?.cause_id, cut?.cause_id]);
      // One cut, one time in each joint world, and soon after the last sign of life.
      const ends = rows.map((row) => row.end_draws!.map((seconds) => Math.round(row.started_at.getTime() / 1000 + seconds)));
      expect(ends[0]).toEqual(ends[1]);
      expect(new Set(ends[0]).size).toBeGreaterThan(20);
      expect(Math.max(...ends[0]!) * 1000).toBeLessThanOrEqual(instant("2 11:01:30").getTime());
      expect(rows[0]!.end_best.getTime()).toBeGreaterThanOrEqual(instant("2 11:00:40").getTime());
    });
  });

  test("a network loss before the cut leaves the end open between the two", async () => {
    await inEmptyShop(async (connection) => {
      await fill(connection, [
        ...three,
        { at: "2 10:00", station: "1", badge: "a" },
        { at: "2 14:00:20", station: "1", kind: "boot" },
        { at: "2 14:00:40", station: "2", kind: "boot" },
      ]);
      await alive(connection, "1", "2 09:00:00", "2 10:10:00");
      await alive(connection, "1", "2 10:50:00", "2 13:00:00");
      await alive(connection, "2", "2 09:00:20", "2 13:00:20");
      const rows = (await derive(connection, "2 15:00")).slice(3);
      expect(rows.map(shown)).toEqual(["1 a 10:00-10:00..14:00:20 restarted"]);
      expect(rows[0]!.end_best.toISOString()).toBe("2025-03-02T12:00:00.000Z");
    });
  });

  test("a silence of all without boots is the server's, of some the network's; neither ends a session", async () => {
    await inEmptyShop(async (connection) => {
      await fill(connection, [
        ...three,
        { at: "2 10:00", station: "1", badge: "a" },
        { at: "2 11:30", station: "1", kind: "release", badge: "a" },
      ]);
      for (const station of ["1", "2", "3"]) {
        await alive(connection, station, "2 09:00", "2 10:20");
        await alive(connection, station, "2 11:00", "2 13:00");
        if (station === "3") await alive(connection, station, "2 13:01", "2 16:00");
        else await alive(connection, station, "2 14:00", "2 16:00");
      }
      expect((await derive(connection, "2 16:00")).slice(3).map(shown)).toEqual(["1 a 10:00-11:30 released"]);
      expect((await causes(connection)).map(({ kind, stations }) => [kind, stations])).toEqual([
        ["server-down", '["1","2","3"]'],
        ["network-loss", '["1","2"]'],
      ]);
    });
  });

  test("one station that starts anew while others are heard is a bad contact; alone in the shop it stays in doubt", async () => {
    for (const [others, kind] of [
      [true, "contact"],
      [false, "power-cut"],
    ] as const) {
      await inEmptyShop(async (connection) => {
        await fill(connection, [
          ...three,
          { at: "2 10:00", station: "1", badge: "a" },
          { at: "2 10:40", station: "1", kind: "boot" },
        ]);
        if (others) await fill(connection, [{ at: "2 10:20", station: "2", kind: "refuse", badge: "x" }], 100);
        const rows = (await derive(connection, "2 16:00")).slice(3);
        expect(rows.map(shown)).toEqual(["1 a 10:00-10:00..10:40 restarted"]);
        expect((await causes(connection)).map((cause) => [cause.kind, cause.cause_id])).toEqual([[kind, rows[0]!.cause_id]]);
      });
    }
  });

  test("two circuits that fell at different times and came back together are two cuts", async () => {
    await inEmptyShop(async (connection) => {
      await fill(connection, [
        ...three,
        ...["1", "2", "3"].map((station) => ({ at: "2 10:00", station, badge: station })),
        ...["1", "2", "3"].map((station) => ({ at: "2 12:00", station, kind: "boot" })),
      ]);
      await alive(connection, "1", "2 09:00", "2 10:30");
      await alive(connection, "2", "2 09:00", "2 10:30:30");
      await alive(connection, "3", "2 09:00", "2 11:20");
      expect((await derive(connection, "2 16:00")).slice(3).map(shown)).toEqual([
        "1 1 10:00-10:30:30..12:00 restarted",
        "2 2 10:00-10:30:30..12:00 restarted",
        "3 3 10:00-11:20..12:00 restarted",
      ]);
    });
  });

  test("a release lost long before a cut does not make the longest session ever", async () => {
    await inEmptyShop(async (connection) => {
      await fill(connection, [...norm, { at: "2 10:00", badge: "a" }, { at: "9 12:00", kind: "boot" }]);
      await alive(connection, "1", "2 09:00", "9 11:59");
      const [, row] = await derive(connection, "9 16:00");
      expect(shown(row!)).toBe("1 a 10:00-10:00..12:00 lost");
      expect(row!.end_best.getTime() - row!.started_at.getTime()).toBe(2 * 3600_000);
    });
  });
});

describe("motors", () => {
  test("a motor that turned says that the session lasted; an unseen stop ends with the session", async () => {
    await inEmptyShop(async (connection) => {
      await fill(connection, [
        ...norm,
        { at: "2 10:00", badge: "a" },
        { at: "2 10:20", kind: "motor-on" },
        { at: "2 10:30", kind: "motor-off" },
        { at: "2 10:40", kind: "motor-on" },
        { at: "2 11:50", badge: "b" },
        { at: "2 11:55", kind: "release", badge: "b" },
      ]);
      const rows = (await derive(connection, "2 16:00")).slice(1);
      expect(rows.map(shown)).toEqual(["1 a 10:00-10:40..11:50 superseded", "1 b 11:50-11:55 released"]);
      const motors = (
        await connection.runAndReadAll(
          "SELECT machine, started_at, stopped_at, stop_low, stop_best, stop_high FROM motor ORDER BY 2",
        )
      ).getRowObjectsJS();
      expect(motors).toEqual([
        {
          machine: "station:1",
          started_at: instant("2 10:20"),
          stopped_at: instant("2 10:30"),
          stop_low: instant("2 10:30"),
          stop_best: instant("2 10:30"),
          stop_high: instant("2 10:30"),
        },
        {
          machine: "station:1",
          started_at: instant("2 10:40"),
          stopped_at: null,
          stop_low: instant("2 10:40"),
          stop_best: rows[0]!.end_best,
          stop_high: instant("2 11:50"),
        },
      ]);
    });
  });
});

describe("a station's counter", () => {
  test("tells what is missing; lines that changed places and a counter that starts anew are no gaps", async () => {
    await inEmptyShop(async (connection) => {
      const numbers = [1, 2, 4, 3, 5, 9, 10, 1, 2, 5];
      await fill(
        connection,
        numbers.map((sequence, index) => ({ at: `2 10:00:0${index}`, kind: "refuse", badge: "x", sequence })),
      );
      const gaps = await connection.runAndReadAll(
        "SELECT station, from_at, until_at, missing::int AS missing FROM sequence_gap ORDER BY from_at",
      );
      expect(gaps.getRowObjectsJS()).toEqual([
        { station: "1", from_at: instant("2 10:00:04"), until_at: instant("2 10:00:05"), missing: 3 },
        { station: "1", from_at: instant("2 10:00:08"), until_at: instant("2 10:00:09"), missing: 2 },
      ]);
    });
  });
});

describe("clocks", () => {
  test("corrected inside a session: its end lies between what the bounds of both stamps allow", async () => {
    await inEmptyShop(async (connection) => {
      // Enabled by a clock that was not set: between 10:00 and 11:00, best 11:00. Released by a good one at 11:30.
      await fill(connection, [
        ...norm,
        { at: "2 11:00", early: "2 10:00", late: "2 11:00", badge: "a" },
        { at: "2 11:30", kind: "release", badge: "a" },
      ]);
      const row = (await derive(connection, "2 12:00"))[1]!;
      const minutes = (time: Date) => (time.getTime() - row.started_at.getTime()) / 60_000;
      expect(row).toMatchObject({ ended: "released", ended_at: instant("2 11:30"), end_best: instant("2 11:30") });
      expect([minutes(row.end_low), minutes(row.end_high)]).toEqual([30, 90]);
    });
  });

  test("of both stamps off by the same amount: the length is known", async () => {
    await inEmptyShop(async (connection) => {
      await fill(connection, [
        ...norm,
        { at: "2 11:00", early: "2 10:00", late: "2 11:00", badge: "a" },
        { at: "2 11:30", kind: "release", badge: "a", early: "2 10:30", late: "2 11:30" },
      ]);
      const row = (await derive(connection, "2 12:00"))[1]!;
      expect([row.end_low, row.end_best, row.end_high]).toEqual(Array(3).fill(instant("2 11:30")));
    });
  });

  test("in autumn's repeated hour: instants decide, so that a session across the change is as long as it was, whatever its stamps say", async () => {
    await inEmptyShop(async (connection) => {
      // In Halifax 01:50 daylight time to 01:10 standard time, on 2 November 2025: twenty minutes.
      await fill(connection, [
        { at: "2025-11-02T04:50:00Z", badge: "a" },
        { at: "2025-11-02T05:10:00Z", kind: "release", badge: "a" },
      ]);
      expect((await derive(connection, "2025-11-02T06:00:00Z")).map(shown)).toEqual(["1 a 04:50-05:10 released"]);
    });
  });
});

test("an answer as of the past shadows the store's tables on its connection and leaves them as they are", async () => {
  await inEmptyShop(async (connection) => {
    await fill(connection, [...norm, { at: "2 10:00", badge: "a" }, { at: "2 10:30", kind: "release", badge: "a" }]);
    const now = (await derive(connection, "2 12:00")).map(shown);
    await deriveSessions(connection, { asOf: instant("2 10:10"), seed: 1, temporary: true });
    expect((await sessions(connection)).map(shown)).toEqual(["1 n 10:00-12:00 released", "1 a 10:00-10:00..10:10 open"]);
    for (const table of ["session", "motor", "cause", "machine_length", "machine_pause", "silence"]) {
      await connection.run(`DROP TABLE temp.${table}`);
    }
    expect((await sessions(connection)).map(shown)).toEqual(now);
  });
});
