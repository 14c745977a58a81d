// The package as it is installed: it carries the built dashboard, compiles nothing, and runs where nothing else is. And its unit.
import { execFileSync, spawnSync } from "node:child_process";
import { existsSync, mkdirSync, readdirSync, readFileSync, symlinkSync } from "node:fs";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { almanac, emptyFolder, root } from "../support/almanac.ts";
import { countsOfLog, writeShop } from "../support/shop.ts";

const folder = emptyFolder();
afterAll(folder.remove);

test("the tarball, unpacked into an empty folder beside the packages it names, reads a log and serves", async () => {
  // Without scripts: dist/ is what the build before the tests has made.
  const packed = execFileSync("npm", ["pack", "--ignore-scripts", "--json", "--pack-destination", folder.path], {
    cwd: root,
    encoding: "utf8",
    stdio: ["ignore", "pipe", "ignore"],
  });
  const [{ filename, files }] = JSON.parse(packed) as [{ filename: string; files: { path: string }[] }];
  const paths = files.map(({ path }) => path);
  expect(paths).toEqual(expect.arrayContaining(["package.json", "README.md", "dist/dashboard/cli.js", "dist/shared/schema.sql"]));
  expect(paths.some((path) => /^dist\/dashboard\/pages\/.*\.js$/.test(path))).toBe(true);
  expect(paths).toContain("dist/dashboard/install/service.md");
  expect(paths.filter((path) => /\.tsx?$|^tests\/|node-gyp|binding\.gyp|\.duckdb$|\.key$/.test(path))).toEqual([]);

  const at = join(folder.path, "node_modules/workshop-almanac");
  mkdirSync(at, { recursive: true });
  execFileSync("tar", ["xzf", join(folder.path, filename), "-C", at, "--strip-components=1"]);
  const { dependencies, scripts } = JSON.parse(readFileSync(join(at, "package.json"), "utf8"));
  expect(Object.keys(scripts).filter((name) => /^(pre|post)?install$/.test(name))).toEqual([]);
  // Only what it names as a dependency, and what that needs.
  for (const name of readdirSync(join(root, "node_modules")))
    if (!existsSync(join(folder.path, "node_modules", name)) && !name.startsWith("."))
      symlinkSync(join(root, "node_modules", name), join(folder.path, "node_modules", name));
  for (const name of Object.keys(dependencies)) expect(existsSync(join(folder.path, "node_modules", name)), name).toBe(true);

  writeShop(folder.path);
  const bin = join(at, "dist/dashboard/cli.js");
  const ran = spawnSync(process.execPath, [bin, "ingest", "log.csv", "--json"], { cwd: folder.path, encoding: "utf8" });
  expect({ code: ran.status, err: ran.stderr }).toEqual({ code: 0, err: "" });
  expect(JSON.parse(ran.stdout).files[0]).toMatchObject(countsOfLog);
}, 120_000);

test("the unit names program, files and user, whatever is in their names, and starts again by itself", async () => {
  const odd = join(folder.path, "a b%c");
  mkdirSync(odd);
  const { out, code } = await almanac(odd, ["unit", "--user", "shop", "--port", "8100"]);
  expect(code).toBe(0);
  expect(out).toMatch(/^ExecStart="\/.*node" "\/.*cli\.js" "serve" "--workshop" "\/.*a b%%c\/workshop\.yaml"/m);
  expect(out).toMatch(/^User=shop$/m);
  expect(out).toMatch(/^Restart=always$/m);
  expect(out).toMatch(/^WantedBy=multi-user\.target$/m);
  expect((await almanac(odd, ["unit", "--user", "shop\nExecStartPre=/bin/x"])).code).toBe(2);
});
