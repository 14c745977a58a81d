// The right to be forgotten: hours stay, the person goes, from every table and from the bytes of store and write-ahead log.
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { rewriteWhereDue } from "../../dashboard/keeping/rewrite.ts";
import { openStore } from "../../shared/index.ts";
import { almanac, served } from "../support/almanac.ts";
import { sessionsInLog, writeShop } from "../support/shop.ts";
import { asked, emptyFolder, storeIn } from "./house.ts";

// Numbers that stand nowhere else in the shop, so that finding their bytes means finding the badge.
const cards: Record<string, string> = { "00410": "7734410", "00411": "8851911", "00412": "9913312" };
const [ida, idaToo] = ["7734410", "4400771"];

function writeMembers(folder: string, badges: "hashed" | "kept"): void {
  writeShop(folder);
  const file = join(folder, "workshop.yaml");
  const privacy = `privacy: {badges: ${badges}}\nroster: roster.csv`;
  writeFileSync(file, readFileSync(file, "utf8").replace("privacy: {badges: kept}", privacy));
  const log = readFileSync(join(folder, "log.csv"), "utf8").replace(/0041[012]/g, (card) => cards[card]!);
  const more = [
    `2025-04-20T09:00:00Z,22,enable,${idaToo},901,`,
    `2025-04-20T10:00:00Z,22,release,${idaToo},902,`,
    `not a time,21,enable,${ida},903,`,
    `2025-04-21T09:00:00Z,21,shrug,${ida},904,`,
    "",
  ];
  writeFileSync(join(folder, "log.csv"), log + more.join("\n"));
  writeFileSync(
    join(folder, "roster.csv"),
    `badge,person,name\n${ida},holm-i,Ida Holmqvist\n${idaToo},holm-i,Ida Holmqvist\n8851911,lund-p,Per Lundgren\n`,
  );
}

/** All bytes of the store as they lie on the disk; the process that held it is gone. */
const bytesOf = (folder: string): Buffer =>
  Buffer.concat(
    ["", ".wal"].map((end) => storeIn(folder) + end).flatMap((path) => (existsSync(path) ? [readFileSync(path)] : [])),
  );

const holds = (bytes: Buffer, texts: readonly string[]): string[] => texts.filter((text) => bytes.includes(text));

describe.each(["kept", "hashed"] as const)("badges %s", (badges) => {
  let folder: ReturnType<typeof emptyFolder>;
  beforeEach(async () => {
    folder = emptyFolder();
    writeMembers(folder.path, badges);
    await asked(folder.path, "ingest", { files: ["log.csv"] });
    await asked(folder.path, "note add", { machine: "planer", text: "dull, says Ida Holmqvist", by: "Ida Holmqvist" });
    await asked(folder.path, "backup", { file: "before.almanac" });
  });
  afterEach(() => folder.remove());

  const hoursIn = async () => [
    await asked(folder.path, "hours"),
    await asked(folder.path, "hours", { by: "month" }),
    await asked(folder.path, "occupancy"),
  ];

  test("about tells what is held, where else it stands, and who looked", async () => {
    const about = await asked(folder.path, "about", { badge: ida });
    expect(about).toMatchObject({ badges: [ida, idaToo], person: "holm-i", name: "Ida Holmqvist", roles: ["member"] });
    const rows = Object.fromEntries(about.held.map(({ what, rows }: { what: string; rows: number }) => [what, rows]));
    expect(rows).toMatchObject({ events: 2 * (sessionsInLog / 3) + 2, sessions: sessionsInLog / 3 + 1, "rows of the roster": 2 });
    expect(about.elsewhere.map(({ kind, isThere }: { kind: string; isThere: boolean }) => [kind, isThere])).toEqual([
      ["roster", true],
      ["log", true],
      ["backup", true],
    ]);
    const again = await asked(folder.path, "about", { badge: ida });
    expect(again.looked).toContainEqual(expect.objectContaining({ who: "command line", what: "about", times: 1 }));
    await expect(asked(folder.path, "about", { badge: "no such badge" })).rejects.toThrow(/nothing is held on this one/);
  });

  test("hours stay; badge, name and person go from every table and from the bytes", async () => {
    const key = `${storeIn(folder.path)}.key`;
    writeFileSync(
      join(folder.path, "remarks.csv"),
      `time,station,event,badge,detail\n2025-04-22T09:00:00Z,22,change,${idaToo},lent by ${ida} to ${ida}\n`,
    );
    await asked(folder.path, "ingest", { files: ["remarks.csv"] });
    const stored = (await asked(folder.path, "sessions")).sessions.map(({ badge }: { badge: string }) => badge);
    const words = ["Ida Holmqvist", "holm-i", ida, idaToo, ...(badges === "hashed" ? [stored[0]] : [])] as string[];
    // What is looked for can be found as long as it is there.
    const found = holds(bytesOf(folder.path), words);
    expect(found).toContain("Ida Holmqvist");
    expect(found).toContain(badges === "kept" ? ida : stored[0]);
    const before = await hoursIn();

    const forgotten = await asked(folder.path, "forget", { badge: ida });
    expect(forgotten).toMatchObject({ badges: 2, standIns: [expect.stringMatching(/^gone~/), expect.stringMatching(/^gone~/)] });
    expect(forgotten.elsewhere.map(({ kind }: { kind: string }) => kind)).toEqual(["roster", "log", "log", "backup"]);
    expect(holds(bytesOf(folder.path), words)).toEqual([]);

    expect(await hoursIn()).toEqual(before);
    expect((await asked(folder.path, "verify")).ok).toBe(true);
    expect((await asked(folder.path, "trail")).intact).toBe(true);
    const { sessions } = await asked(folder.path, "sessions");
    expect(new Set(sessions.map(({ badge }: { badge: string }) => badge)).size).toBe(4);
    expect(holds(bytesOf(folder.path), words)).toEqual([]);
    await expect(asked(folder.path, "about", { badge: forgotten.standIns[0] })).rejects.toThrow(/stands in for one/);
    expect(existsSync(key)).toBe(true);
  });

  test("reading the same log again brings nobody back: every line is known, rejects too", async () => {
    await asked(folder.path, "forget", { badge: idaToo });
    const { files, sessions } = await asked(folder.path, "ingest", { files: ["log.csv"] });
    expect(files[0]).toMatchObject({ stored: 0, rejected: 4 });
    expect(sessions).toBe(sessionsInLog + 1);
    writeFileSync(
      join(folder.path, "later.csv"),
      `time,station,event,badge\n2025-06-01T09:00:00Z,21,enable,${ida}\n2025-06-01T10:00:00Z,21,release,${ida}\nnever,21,enable,${ida}\n`,
    );
    await asked(folder.path, "ingest", { files: ["later.csv"] });
    const rejects = (await asked(folder.path, "rejects")).rejects.map(({ text }: { text: string }) => text).join("\n");
    expect(rejects).not.toContain(ida);
    expect(rejects).toMatch(/never,21,enable,gone~/);
    const last = (await asked(folder.path, "sessions")).sessions.at(-1);
    expect(last.badge).toMatch(/^gone~/);
    expect(holds(bytesOf(folder.path), ["Ida Holmqvist", "holm-i", ida, idaToo])).toEqual([]);
  });

  test("an incident hold keeps what it names, with its reason", async () => {
    const store = await openStore(storeIn(folder.path));
    const connection = await store.connect();
    const hold = (from: string, badge: string) =>
      connection.run(
        `INSERT INTO incident_hold VALUES (1, '${from}'::timestamptz, '${from}'::timestamptz + interval 30 day, ${badge}, NULL, NULL, 'inquiry of May', now() + interval 1 year, 'ann', now(), NULL, NULL)`,
      );
    await hold("2020-01-01T00:00:00Z", "NULL");
    connection.closeSync();
    store.close();
    // A hold of a time in which the badge wasn't there keeps nothing of it.
    expect(await asked(folder.path, "forget", { badge: "8851911" })).toMatchObject({ badges: 1 });
    const again = await openStore(storeIn(folder.path));
    const other = await again.connect();
    await other.run("UPDATE incident_hold SET from_at = '2025-03-01', until_at = '2025-03-31'");
    other.closeSync();
    again.close();
    await expect(asked(folder.path, "forget", { badge: ida })).rejects.toThrow(/"inquiry of May" keeps it until/);
    expect((await asked(folder.path, "about", { badge: ida })).name).toBe("Ida Holmqvist");
  });
});

describe("in the middle of things", () => {
  const folder = emptyFolder();
  afterEach(folder.remove);

  test("while the dashboard is open and read; and what a crash left undone is done at the next start", async () => {
    writeMembers(folder.path, "kept");
    const server = await served(folder.path, ["serve"]);
    await almanac(folder.path, ["ingest", "log.csv"]);
    let isDone = false;
    const statuses = new Set<number>();
    const readers = Array.from({ length: 3 }, async () => {
      while (!isDone) statuses.add((await fetch(`${server.address}api/v1/hours`)).status);
    });
    const { code, json, err } = await almanac(folder.path, ["forget", ida, "--json"]);
    isDone = true;
    await Promise.all(readers);
    expect({ code, err, badges: json?.badges }).toEqual({ code: 0, err: "", badges: 2 });
    expect([...statuses]).toEqual([200]);
    expect((await almanac(folder.path, ["verify"])).code).toBe(0);
    // As after a power cut: nothing is closed in order.
    server.child.kill("SIGKILL");
    await server.ended;
    expect(holds(bytesOf(folder.path), ["Ida Holmqvist", "holm-i", ida, idaToo])).toEqual([]);

    const store = await openStore(storeIn(folder.path));
    expect(await rewriteWhereDue(store)).toBe(false);
    const connection = await store.connect();
    await connection.run("INSERT INTO meta VALUES ('rewrite', 'a process died here')");
    connection.closeSync();
    expect(await rewriteWhereDue(store)).toBe(true);
    expect(await rewriteWhereDue(store)).toBe(false);
    store.close();
    expect((await asked(folder.path, "sessions")).sessions).toHaveLength(sessionsInLog + 1);
  });
});
