// Why nothing but DuckDB opens the store's path: a process that reads its own store by other means has lost the lock when it closes
// the file (POSIX, fcntl: "All locks associated with a file for a given process shall be removed when a file descriptor for that file
// is closed by that process", The Open Group Base Specifications, IEEE Std 1003.1-2017, fcntl()).
import { execFileSync, spawnSync } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { join, relative } from "node:path";
import { parseSync } from "vite";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { emptyFolder, storeIn } from "../keeping/house.ts";
import { almanac, root, served } from "../support/almanac.ts";
import { writeShop } from "../support/shop.ts";

const insert = `
  import { DuckDBInstance } from "@duckdb/node-api";
  const instance = await DuckDBInstance.create(process.argv[1]);
  const connection = await instance.connect();
  await connection.run("CREATE TABLE IF NOT EXISTS row (who VARCHAR)");
  await connection.run("INSERT INTO row VALUES ('other')");
  connection.closeSync();
  instance.closeSync();`;

/** Another process tries to write to the store; gives whether it could. */
const otherWrites = (path: string): boolean =>
  spawnSync(process.execPath, ["--input-type=module", "-e", insert, path], { cwd: root, encoding: "utf8" }).status === 0;

describe("the lock of a store", () => {
  const folder = emptyFolder();
  afterAll(folder.remove);

  test.runIf(process.platform === "linux")(
    "is lost as soon as its own process reads the file, and then another's rows are lost",
    () => {
      const outcome = (reads: boolean): { couldWrite: boolean; rows: string[] } => {
        const path = join(folder.path, `${reads ? "read" : "kept"}.duckdb`);
        const holder = `
        import { DuckDBInstance } from "@duckdb/node-api";
        import { readFileSync } from "node:fs";
        import { spawnSync } from "node:child_process";
        const [path, insert] = process.argv.slice(1);
        const instance = await DuckDBInstance.create(path);
        const connection = await instance.connect();
        await connection.run("CREATE TABLE row (who VARCHAR)");
        await connection.run("CHECKPOINT");
        ${reads ? "readFileSync(path);" : ""}
        const other = spawnSync(process.execPath, ["--input-type=module", "-e", insert, path]);
        await connection.run("INSERT INTO row VALUES ('holder')");
        await connection.run("CHECKPOINT");
        connection.closeSync();
        instance.closeSync();
        const again = await DuckDBInstance.create(path);
        const rows = await (await again.connect()).runAndReadAll("SELECT who FROM row ORDER BY who");
        console.log(JSON.stringify({ couldWrite: other.status === 0, rows: rows.getRows().flat() }));`;
        return JSON.parse(
          execFileSync(process.execPath, ["--input-type=module", "-e", holder, path, insert], { cwd: root, encoding: "utf8" }),
        );
      };
      expect(outcome(false)).toEqual({ couldWrite: false, rows: ["holder"] });
      const { couldWrite, rows } = outcome(true);
      expect(couldWrite).toBe(true);
      expect(rows).not.toContain("other");
    },
  );
});

describe("a served store", () => {
  const folder = emptyFolder();
  let server: Awaited<ReturnType<typeof served>>;
  beforeAll(async () => {
    writeShop(folder.path);
    server = await served(folder.path, ["serve"]);
  });
  afterAll(async () => {
    server.child.kill("SIGTERM");
    await server.ended;
    folder.remove();
  });

  test("keeps its lock through everything that is asked of it", async () => {
    const store = storeIn(folder.path);
    const asked: string[][] = [
      ["ingest", "log.csv"],
      ["hours"],
      ["backup", "one.almanac"],
      ["export", "history"],
      ["verify"],
      ["rescue", "saved.duckdb"],
      ["about", "00410"],
      ["forget", "00410"],
      ["restore", "one.almanac", "--replace"],
      ["ingest", "log.csv"],
    ];
    for (const args of asked) {
      const { code, err } = await almanac(folder.path, args);
      expect({ args, code, err }).toEqual({ args, code: 0, err: "" });
      expect(otherWrites(store), args.join(" ")).toBe(false);
    }
    for (const path of ["", "log", "machines", "api/v1/sessions"]) await fetch(server.address + path);
    expect(otherWrites(store)).toBe(false);
  }, 300_000);
});

/** Whatever opens a file for reading or copying it, by its name in node:fs. */
const openers = new Set([
  "readFileSync",
  "readFile",
  "createReadStream",
  "openSync",
  "open",
  "copyFileSync",
  "copyFile",
  "cpSync",
  "cp",
  "openAsBlob",
]);

/** Files of the rooms that open files, and what: never the store. Whoever adds one says here what it opens. */
const known: Record<string, string> = {
  "dashboard/build.mjs": "the program's own files, to build it",
  "dashboard/commands/demo.ts": "a new folder of its own",
  "dashboard/commands/serve.ts": "certificate and key",
  "dashboard/handoff/client.ts": "the note beside the store that names the socket",
  "dashboard/keeping/archive.ts": "a copy of the store in its work folder, workshop files, and the archive",
  "dashboard/keeping/export.ts": "an export in the work folder",
  "dashboard/keeping/rescue.ts": "the rescued copy in the work folder",
  "dashboard/keeping/restore.ts": "workshop files",
  "dashboard/live/sources.ts": "the broker's password",
  "dashboard/setup/kept-files.ts": "earlier versions of workshop files, in their own folder",
  "dashboard/telling/teller.ts": "the secret that what is told is signed with",
  "dashboard/version.ts": "package.json",
  "shared/badges.ts": "the key",
  "shared/store.ts": "schema.sql, and the folder of the store to have a rename on disk",
  "shared/question.ts": "questions",
  "shared/starter.ts": "the starter files of the program",
  "shared/torn-log.ts": "the write-ahead log of a store that can't be opened",
  "shared/workshop.ts": "workshop file and roster, to see whether they have changed",
  "shared/text-file.ts": "workshop file, roster, profile",
  "dashboard/access/door/routes.ts": "the program's own style sheet",
  "dashboard/server/pages-built.ts": "the program's own pages",
};

test("files are opened by the known few only", () => {
  const filesUnder = (folder: string): string[] =>
    readdirSync(folder, { withFileTypes: true }).flatMap((entry) =>
      entry.isDirectory() ? filesUnder(join(folder, entry.name)) : /\.tsx?$/.test(entry.name) ? [join(folder, entry.name)] : [],
    );
  const opening = ["shared", "ingest", "analytics", "dashboard"].flatMap((room) =>
    filesUnder(join(root, room)).filter((file) =>
      parseSync(file, readFileSync(file, "utf8")).module.staticImports.some(
        ({ moduleRequest, entries }) =>
          /^(node:)?fs(\/promises)?$/.test(moduleRequest.value) &&
          entries.some(({ importName }) => importName.kind !== "Name" || openers.has(importName.name ?? "")),
      ),
    ),
  );
  const names = opening.map((file) => relative(root, file));
  expect(names.length).toBeGreaterThan(8);
  expect(names.filter((name) => !(name in known) && !name.startsWith("ingest/"))).toEqual([]);
  // ingest/ is handed the logs' paths and knows no store's.
  const ingest = names.filter((name) => name.startsWith("ingest/"));
  for (const name of ingest) expect(readFileSync(join(root, name), "utf8"), name).not.toMatch(/store\.path|storePath/);
});
