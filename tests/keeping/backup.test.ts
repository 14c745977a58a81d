// A backup is whole, whatever goes on meanwhile, holds no key, and is proved before it takes a store's place.
import { createReadStream, existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pipeline } from "node:stream/promises";
import { createGunzip, gunzipSync, gzipSync } from "node:zlib";
import tar from "tar-stream";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { almanac, served } from "../support/almanac.ts";
import { sessionsInLog, writeShop } from "../support/shop.ts";
import { asked, emptyFolder, storeIn } from "./house.ts";

async function entriesOf(path: string): Promise<Map<string, Buffer>> {
  const extract = tar.extract();
  const entries = new Map<string, Buffer>();
  const reading = pipeline(createReadStream(path), createGunzip(), extract as unknown as NodeJS.WritableStream);
  for await (const entry of extract) {
    const parts: Buffer[] = [];
    for await (const part of entry as AsyncIterable<Buffer>) parts.push(part);
    entries.set(entry.header.name, Buffer.concat(parts));
  }
  await reading;
  return entries;
}

/** The shop with a roster and hashed badges, its log read, one account made. */
async function writeHashedShop(folder: string): Promise<void> {
  writeShop(folder);
  const text = readFileSync(join(folder, "workshop.yaml"), "utf8").replace("privacy: {badges: kept}", "roster: roster.csv");
  writeFileSync(join(folder, "workshop.yaml"), text);
  writeFileSync(join(folder, "roster.csv"), "badge,person,name\n00410,p1,Ida Holm\n00411,p2,Per Lund\n");
  await asked(folder, "ingest", { files: ["log.csv"] });
  await asked(folder, "account add", { name: "ann", role: ["steward"] });
}

describe("a backup put back elsewhere", () => {
  const [folder, other] = [emptyFolder(), emptyFolder()];
  afterAll(() => {
    folder.remove();
    other.remove();
  });
  beforeAll(async () => {
    await writeHashedShop(folder.path);
  });

  test("is one file for its owner alone, with store, workshop file and roster, and without the key", async () => {
    const made = await asked(folder.path, "backup", { file: "one.almanac" });
    const file = join(folder.path, "one.almanac");
    expect(made).toEqual({ file: "one.almanac", bytes: statSync(file).size, sha256: expect.stringMatching(/^[0-9a-f]{64}$/) });
    expect(statSync(file).mode & 0o777).toBe(0o600);
    const entries = await entriesOf(file);
    expect([...entries.keys()]).toEqual(["manifest.json", "workshop.yaml", "files/1-roster.csv", "store.duckdb"]);
    const key = readFileSync(`${storeIn(folder.path)}.key`, "utf8").trim();
    for (const content of entries.values()) {
      expect(content.includes(key)).toBe(false);
      expect(content.includes(Buffer.from(key, "hex"))).toBe(false);
    }
    expect(readdirSync(`${storeIn(folder.path)}.work`).filter((name) => name.startsWith("backup"))).toEqual([]);
  });

  test("gives the same answers, accounts included, and says that the key is still missing", async () => {
    const archive = join(folder.path, "one.almanac");
    const { checks, files, notes } = await asked(other.path, "restore", { file: archive });
    expect(checks.map(({ ok }: { ok: boolean }) => ok)).not.toContain(false);
    expect(checks[0].name).toBe("as many rows as when the backup was made");
    expect(files.map(({ state }: { state: string }) => state)).toEqual(["restored", "restored"]);
    expect(notes.join()).toMatch(/key of the badge hashes/);
    expect(await asked(other.path, "badge-key")).toMatchObject({ state: "missing" });
    await expect(asked(other.path, "hours")).rejects.toThrow(/badge key .*put it back, or begin a new one/);
    writeFileSync(`${storeIn(other.path)}.key`, readFileSync(`${storeIn(folder.path)}.key`));
    for (const question of ["hours", "sessions", "rejects", "account list"])
      expect(await asked(other.path, question)).toEqual(await asked(folder.path, question));
    expect(await asked(other.path, "badge-key")).toMatchObject({ state: "there" });
  });

  test("a lost key is begun anew on request only", async () => {
    writeFileSync(`${storeIn(other.path)}.key`, `${"ab".repeat(32)}\n`);
    expect(await asked(other.path, "badge-key")).toMatchObject({ state: "another store's" });
    await expect(asked(other.path, "ingest", { files: [join(folder.path, "log.csv")] })).rejects.toThrow(/this is another one/);
    const begun = await asked(other.path, "badge-key", { new: true });
    expect(begun).toMatchObject({ state: "begun anew", aside: expect.stringContaining(".key.until-") });
    expect((await asked(other.path, "hours")).rows.length).toBeGreaterThan(0);
  });
});

describe("what a restore may do", () => {
  let folder: ReturnType<typeof emptyFolder>;
  beforeEach(async () => {
    folder = emptyFolder();
    writeShop(folder.path);
    await asked(folder.path, "ingest", { files: ["log.csv"] });
    await asked(folder.path, "backup", { file: "one.almanac" });
  });
  afterEach(() => folder.remove());

  test("a store that is there is replaced only where that was asked, and is kept beside the new one", async () => {
    await expect(asked(folder.path, "restore", { file: "one.almanac" })).rejects.toThrow(/--replace/);
    writeFileSync(
      join(folder.path, "more.csv"),
      "time,station,event,badge\n2025-06-01T09:00:00Z,21,enable,7\n2025-06-01T10:00:00Z,21,release,7\n",
    );
    await asked(folder.path, "ingest", { files: ["more.csv"] });
    writeFileSync(join(folder.path, "workshop.yaml"), `${readFileSync(join(folder.path, "workshop.yaml"), "utf8")}# later\n`);
    const { notes, files } = await asked(folder.path, "restore", { file: "one.almanac", replace: true });
    expect((await asked(folder.path, "sessions")).sessions).toHaveLength(sessionsInLog);
    expect(notes[0]).toMatch(/before-restore/);
    expect(files).toEqual([{ file: join(folder.path, "workshop.yaml"), state: "restored" }]);
    expect(readFileSync(join(folder.path, "workshop.yaml.before-restore"), "utf8")).toMatch(/# later/);
    const before = { store: "almanac.duckdb.before-restore" };
    expect((await asked(folder.path, "sessions", before)).sessions).toHaveLength(sessionsInLog + 1);
    const trail = await asked(folder.path, "trail");
    expect(trail.trail).toContainEqual(expect.objectContaining({ act: "changed", what: "restore" }));
  });

  test("a workshop file that differs stays where only a store was missing", async () => {
    writeFileSync(join(folder.path, "workshop.yaml"), `${readFileSync(join(folder.path, "workshop.yaml"), "utf8")}# later\n`);
    const { files } = await asked(folder.path, "restore", { file: "one.almanac", store: "other.duckdb" });
    expect(files[0].state).toBe("kept, the backup's stands beside it");
    expect(readFileSync(join(folder.path, "workshop.yaml"), "utf8")).toMatch(/# later/);
    expect(existsSync(join(folder.path, "workshop.yaml.from-backup"))).toBe(true);
  });

  test("a store that can't be opened any more is replaced as well, and kept", async () => {
    writeFileSync(storeIn(folder.path), "this was a store once");
    await expect(asked(folder.path, "hours")).rejects.toThrow(/a store made by Workshop Almanac/);
    await asked(folder.path, "restore", { file: "one.almanac", replace: true });
    expect((await asked(folder.path, "sessions")).sessions).toHaveLength(sessionsInLog);
    expect(readFileSync(`${storeIn(folder.path)}.before-restore`, "utf8")).toBe("this was a store once");
  });

  test("nothing else than an older backup is written over", async () => {
    for (const file of ["log.csv", "workshop.yaml", "almanac.duckdb"])
      await expect(asked(folder.path, "backup", { file })).rejects.toThrow(/a new file, or an older backup/);
    await asked(folder.path, "backup", { file: "one.almanac" });
    expect((await asked(folder.path, "sessions")).sessions).toHaveLength(sessionsInLog);
  });

  test("an archive that is cut, changed, foreign or absent changes nothing", async () => {
    const whole = readFileSync(join(folder.path, "one.almanac"));
    const tarred = gunzipSync(whole);
    const changed = Buffer.from(tarred);
    const at = changed.lastIndexOf("DUCK") + 5000;
    changed[at] = changed[at]! ^ 0xff;
    const bad = {
      "cut.almanac": whole.subarray(0, whole.length - 3000),
      "changed.almanac": gzipSync(changed),
      "foreign.almanac": gzipSync("a text"),
      "plain.almanac": Buffer.from("a text"),
      "empty.almanac": Buffer.alloc(0),
    };
    for (const [name, content] of Object.entries(bad)) {
      writeFileSync(join(folder.path, name), content);
      await expect(asked(folder.path, "restore", { file: name, replace: true }), name).rejects.toThrow(
        /a backup made by Workshop Almanac, whole/,
      );
    }
    await expect(asked(folder.path, "restore", { file: "absent.almanac", replace: true })).rejects.toThrow(/ENOENT/);
    expect((await asked(folder.path, "sessions")).sessions).toHaveLength(sessionsInLog);
    expect(existsSync(`${storeIn(folder.path)}.before-restore`)).toBe(false);
  });

  test("names in an archive lead nowhere: what its list doesn't have is refused, and places out of the folder are brought into it", async () => {
    const entries = await entriesOf(join(folder.path, "one.almanac"));
    const rewritten = async (
      name: string,
      change: (manifest: Record<string, unknown> & { entries: { place: string }[] }) => void,
      extra?: string,
    ) => {
      const manifest = JSON.parse(entries.get("manifest.json")!.toString());
      change(manifest);
      const pack = tar.pack();
      pack.entry({ name: "manifest.json" }, JSON.stringify(manifest));
      for (const [entry, content] of entries) if (entry !== "manifest.json") pack.entry({ name: entry }, content);
      if (extra) pack.entry({ name: extra }, "planted");
      pack.finalize();
      const parts: Buffer[] = [];
      for await (const part of pack as AsyncIterable<Buffer>) parts.push(part);
      writeFileSync(join(folder.path, name), gzipSync(Buffer.concat(parts)));
    };
    await rewritten("planted.almanac", () => undefined, "../../planted.txt");
    await expect(asked(folder.path, "restore", { file: "planted.almanac", replace: true })).rejects.toThrow(/not in its list/);
    await rewritten("outside.almanac", (manifest) => {
      const workshop = manifest.entries[0]!;
      (manifest.entries as object[]).splice(0, 1, { ...workshop, role: "profile", place: "../../outside.yaml" });
    });
    mkdirSync(join(folder.path, "a/b"), { recursive: true });
    const { files } = await asked(join(folder.path, "a/b"), "restore", { file: join(folder.path, "outside.almanac") });
    expect(files[0].file).toBe(join(folder.path, "a/b/outside.yaml"));
    expect(existsSync(join(folder.path, "outside.yaml"))).toBe(false);
  });
});

describe("while the dashboard is open", () => {
  const folder = emptyFolder();
  let server: Awaited<ReturnType<typeof served>>;
  beforeAll(async () => {
    writeShop(folder.path);
    const lines = ["time,station,event,badge"];
    for (let i = 0; i < 60_000; i++)
      lines.push(
        `${new Date(Date.UTC(2024, 0, 1) + i * 240_000).toISOString()},${21 + (i % 2)},${i % 4 < 2 ? "enable" : "release"},418`,
      );
    writeFileSync(join(folder.path, "long.csv"), `${lines.join("\n")}\n`);
    server = await served(folder.path, ["serve"]);
  });
  afterAll(async () => {
    server.child.kill("SIGTERM");
    await server.ended;
    folder.remove();
  });

  test("a backup in the middle of a reading is the store before it or after it, and verifies", async () => {
    await almanac(folder.path, ["ingest", "log.csv"]);
    const reading = almanac(folder.path, ["ingest", "long.csv", "--json"]);
    const backups = [];
    for (let i = 0; i < 3; i++) backups.push(await almanac(folder.path, ["backup", `during-${i}.almanac`, "--json"]));
    expect((await reading).json.files[0].stored).toBe(60_000);
    for (const [i, { code, err }] of backups.entries()) {
      expect({ code, err }).toEqual({ code: 0, err: "" });
      const store = `during-${i}.duckdb`;
      await asked(folder.path, "restore", { file: `during-${i}.almanac`, store });
      const { ok } = await asked(folder.path, "verify", { store });
      expect(ok).toBe(true);
      const { readings } = await asked(folder.path, "log", { store });
      const stored = readings.reduce((sum: number, each: { stored: number }) => sum + each.stored, 0);
      expect([2 * sessionsInLog, 2 * sessionsInLog + 60_000]).toContain(stored);
    }
  });

  test("a restore swaps the store below the open pages, once, and they go on", async () => {
    const before = await almanac(folder.path, ["backup", "before.almanac", "--json"]);
    expect(before.code).toBe(0);
    writeFileSync(
      join(folder.path, "more.csv"),
      "time,station,event,badge\n2026-06-01T09:00:00Z,21,enable,7\n2026-06-01T10:00:00Z,21,release,7\n",
    );
    await almanac(folder.path, ["ingest", "more.csv"]);
    const lastEvent = async () =>
      ((await (await fetch(`${server.address}api/v1/log`)).json()) as { lastEvent: string }).lastEvent;
    expect(await lastEvent()).toBe("2026-06-01T10:00:00.000Z");
    let isDone = false;
    const statuses = new Set<number>();
    const readers = Array.from({ length: 4 }, async () => {
      while (!isDone) statuses.add((await fetch(`${server.address}api/v1/hours`)).status);
    });
    const { code, json } = await almanac(folder.path, ["restore", "before.almanac", "--replace", "--json"]);
    isDone = true;
    await Promise.all(readers);
    expect(code).toBe(0);
    expect([...statuses]).toEqual([200]);
    expect(json.checks.every(({ ok }: { ok: boolean }) => ok)).toBe(true);
    expect(await lastEvent()).not.toBe("2026-06-01T10:00:00.000Z");
    expect((await almanac(folder.path, ["ingest", "more.csv", "--json"])).json.files[0].stored).toBe(2);
    expect(await lastEvent()).toBe("2026-06-01T10:00:00.000Z");
    expect((await almanac(folder.path, ["verify"])).code).toBe(0);
  });
});
