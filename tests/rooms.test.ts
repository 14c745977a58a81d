// Imports go only the ways the rooms allow: a star, not a chain.
import { readdirSync, readFileSync, statSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";
import { parseSync } from "vite";
import { expect, test } from "vitest";
import { root } from "./support/almanac.ts";

const mayKnow: Record<string, string[]> = {
  shared: [],
  ingest: ["shared"],
  analytics: ["shared"],
  "sample-logs": ["shared"],
  dashboard: ["analytics", "ingest", "sample-logs", "shared"],
};

const filesUnder = (folder: string): string[] =>
  readdirSync(folder, { withFileTypes: true }).flatMap((entry) =>
    entry.isDirectory() ? filesUnder(join(folder, entry.name)) : /\.tsx?$/.test(entry.name) ? [join(folder, entry.name)] : [],
  );

/** The modules a file names: static, re-exported and dynamic. */
function importsOf(file: string): string[] {
  const text = readFileSync(file, "utf8");
  const { module } = parseSync(file, text);
  const dynamic = module.dynamicImports.map(({ moduleRequest }) => text.slice(moduleRequest.start + 1, moduleRequest.end - 1));
  const reexported = module.staticExports.flatMap(({ entries }) =>
    entries.flatMap(({ moduleRequest }) => moduleRequest?.value ?? []),
  );
  return [...module.staticImports.map(({ moduleRequest }) => moduleRequest.value), ...reexported, ...dynamic];
}

const edges = Object.keys(mayKnow).flatMap((room) =>
  filesUnder(join(root, room)).flatMap((file) =>
    importsOf(file)
      .filter((name) => name.startsWith("."))
      .map((name) => ({ room, from: relative(root, file), to: relative(root, resolve(dirname(file), name)) })),
  ),
);

test("imports go only the ways the rooms allow", () => {
  expect(edges.length).toBeGreaterThan(100);
  const wrong = edges.filter(({ room, to }) => {
    const other = to.split("/")[0] ?? "";
    return (
      other !== room &&
      !(mayKnow[room] ?? []).includes(other) &&
      statSync(join(root, to), { throwIfNoEntry: false }) !== undefined
    );
  });
  expect(wrong).toEqual([]);
});

test("another room is entered by its door or by a file it shows there", () => {
  const doors = edges.filter(({ room, to }) => to.split("/")[0] !== room && !to.startsWith("shared/"));
  expect(doors.filter(({ to }) => !to.endsWith("index.ts"))).toEqual([]);
});
