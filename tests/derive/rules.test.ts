import { describe, expect, test } from "vitest";
import { alive, derive, fill, inShop, type Line, reading, shown } from "./shop.ts";

/** Two seen hours on station 1 the day before, so that its longest session is 2 h. */
const norm: Line[] = [
  { at: "1 10:00", kind: "enable", badge: "n" },
  { at: "1 12:00", kind: "release", badge: "n" },
];

async function told(lines: Line[], asOf: string): Promise<string[]> {
  return inShop(async (connection) => {
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
          { at: "2 10:40", kind: "release", badge: "a" },
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

describe("logs of sessions", () => {
  test("are believed, overlaps and twins kept; a row without finish ends by what comes next", async () => {
    await inShop(async (connection) => {
      await connection.run(`INSERT INTO stretch VALUES
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
    await inShop(async (connection) => {
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
  test("a silence without a boot ends nothing", async () => {
    await inShop(async (connection) => {
      await fill(connection, [...norm, { at: "2 10:00", badge: "a" }, { at: "2 11:30", kind: "release", badge: "a" }]);
      await alive(connection, "1", "2 09:00", "2 10:20");
      await alive(connection, "1", "2 11:00", "2 12:00");
      expect((await derive(connection, "2 12:00")).slice(1).map(shown)).toEqual(["1 a 10:00-11:30 released"]);
    });
  });
});
