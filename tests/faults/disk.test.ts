// A disk that is full, a folder that may not be written in, a store that another process holds: one sentence, nothing lost.
import { spawn, spawnSync } from "node:child_process";
import { chmodSync, mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { asked, emptyFolder, storeIn } from "../keeping/house.ts";
import { almanac, type Ran, root } from "../support/almanac.ts";
import { sessionsInLog, writeShop } from "../support/shop.ts";

const entry = join(root, "dist/dashboard/cli.js");
const sentences = ({ err }: Pick<Ran, "err">): string[] => err.trim().split("\n");

describe("a full disk", () => {
  const folder = emptyFolder();
  beforeAll(async () => {
    writeShop(folder.path);
    const lines = ["time,station,event,badge,sequence,detail"];
    for (let i = 0; i < 60_000; i++)
      lines.push(
        `${new Date(Date.UTC(2023, 0, 1) + i * 600_000).toISOString()},${21 + (i % 2)},${i % 4 < 2 ? "enable" : "release"},${(i * 7919) % 997},${i},${(i * 104_729) % 99_991}`,
      );
    writeFileSync(join(folder.path, "long.csv"), `${lines.join("\n")}\n`);
    await asked(folder.path, "ingest", { files: ["log.csv"] });
  });
  afterAll(folder.remove);

  // A file-size limit, since a mount of its own can't be had everywhere; kibibytes.
  const withRoomFor = (kib: number, args: string[]): Ran => {
    const { status, stdout, stderr } = spawnSync(
      "bash",
      ["-c", `ulimit -f ${kib}; exec "$@"`, "bash", process.execPath, entry, ...args],
      { cwd: folder.path, encoding: "utf8" },
    );
    return { code: status, out: stdout, err: stderr, json: null, seconds: 0 };
  };

  test.runIf(process.platform === "linux")(
    "ends a reading with one sentence and exit code 1; what was stored stays, and later there is room again",
    async () => {
      const before = await asked(folder.path, "hours");
      const ran = withRoomFor(2_000, ["ingest", "long.csv"]);
      expect(ran.code).toBe(1);
      expect(sentences(ran)).toHaveLength(1);
      expect(ran.err).toMatch(/File too large|EFBIG|No space|ENOSPC/);
      expect(await asked(folder.path, "hours")).toEqual(before);
      expect((await asked(folder.path, "verify")).ok).toBe(true);
      const { files } = await asked(folder.path, "ingest", { files: ["long.csv"] });
      expect(files[0]).toMatchObject({ stored: 60_000, duplicates: 0 });
    },
    180_000,
  );

  test.runIf(process.platform === "linux")("leaves no half archive behind", () => {
    const ran = withRoomFor(300, ["backup", "half.almanac"]);
    expect(ran.code).toBe(1);
    expect(sentences(ran)).toHaveLength(1);
    const { stdout } = spawnSync("ls", [folder.path], { encoding: "utf8" });
    expect(stdout).not.toMatch(/half\.almanac/);
  });
});

describe("a folder that may not be written in", () => {
  const folder = emptyFolder();
  afterAll(() => {
    chmodSync(join(folder.path, "shut"), 0o755);
    folder.remove();
  });

  test.runIf(process.platform === "linux")("is told in one sentence with exit code 1", () => {
    const shut = join(folder.path, "shut");
    mkdirSync(shut);
    writeShop(shut);
    chmodSync(folder.path, 0o755);
    chmodSync(shut, 0o555);
    // Root may write anywhere: then the command runs as nobody.
    const nobody = process.getuid?.() === 0 ? { uid: 65_534, gid: 65_534 } : {};
    const { status, stderr } = spawnSync(process.execPath, [entry, "ingest", "log.csv"], {
      cwd: shut,
      encoding: "utf8",
      ...nobody,
    });
    expect(status).toBe(1);
    expect(sentences({ err: stderr })).toHaveLength(1);
    expect(stderr).toMatch(/EACCES|permission denied/i);
  });
});

describe("a store that another process holds", () => {
  const folder = emptyFolder();
  afterAll(folder.remove);

  test("is waited for, then told with the process that has it; nothing of it changes", { timeout: 120_000 }, async () => {
    writeShop(folder.path);
    await asked(folder.path, "ingest", { files: ["log.csv"] });
    const script = `
      import { DuckDBInstance } from "@duckdb/node-api";
      const instance = await DuckDBInstance.create(process.argv[1]);
      console.log("held");
      setInterval(() => instance, 1000);`;
    const holder = spawn(process.execPath, ["--input-type=module", "-e", script, storeIn(folder.path)], { cwd: root });
    await new Promise((done) => holder.stdout.once("data", done));
    const ran = await almanac(folder.path, ["hours"]);
    expect(ran.code).toBe(1);
    expect(sentences(ran)).toHaveLength(1);
    expect(ran.err).toContain(`process ${holder.pid} has it`);
    // It is let go while another command waits for it: that one answers.
    const waiting = almanac(folder.path, ["sessions", "--json"]);
    setTimeout(() => holder.kill("SIGKILL"), 1_500);
    const { code, json } = await waiting;
    expect({ code, sessions: json.sessions?.length }).toEqual({ code: 0, sessions: sessionsInLog });
  });
});
