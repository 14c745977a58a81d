// Builds dist/: TypeScript to JavaScript, the pages by Vite, and every file that is read at run time beside them.
import { execFileSync } from "node:child_process";
import { chmodSync, cpSync, existsSync, readdirSync, rmSync } from "node:fs";
import { dirname, join, relative } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "vite";

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const rooms = ["shared", "ingest", "analytics", "dashboard", "sample-logs"];
const isRead = (path) => !/\.(tsx?|mjs)$|tsconfig|^dashboard[/\\]pages([/\\]|$)/.test(relative(root, path));

rmSync(join(root, "dist"), { recursive: true, force: true });
execFileSync(
  process.execPath,
  [join(root, "node_modules/typescript/bin/tsc"), "-p", join(root, "dashboard/tsconfig.build.json")],
  {
    stdio: "inherit",
  },
);
for (const room of rooms) {
  if (!existsSync(join(root, room))) continue;
  cpSync(join(root, room), join(root, "dist", room), { recursive: true, filter: isRead });
}
if (readdirSync(join(root, "dashboard")).includes("pages")) {
  await build({ configFile: join(root, "dashboard/pages/vite.config.ts"), logLevel: "warn" });
}
chmodSync(join(root, "dist/dashboard/cli.js"), 0o755);
