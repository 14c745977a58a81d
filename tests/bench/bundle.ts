// What a first visit loads, part by part, as a table: `npm run bench:bundle` after a build. The limit is held by tests/pages/bundle.test.ts.
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { gzipSync } from "node:zlib";

const folder = new URL("../../dist/dashboard/pages-built/assets/", import.meta.url);
const says: Record<string, string> = {
  charts: "Observable Plot, apache-arrow and the charts: fetched once the page stands",
  page: "the leaves, their words, Preact",
  browser: "shared small parts",
};

const parts = readdirSync(folder)
  .filter((name) => /\.(js|css)$/.test(name))
  .map((name) => {
    const bytes = readFileSync(new URL(name, folder));
    return { name: name.replace(/-[\w-]{8}(?=\.)/, ""), raw: bytes.length, packed: gzipSync(bytes).length };
  })
  .sort((a, b) => b.packed - a.packed);
const kB = (bytes: number): string => (bytes / 1000).toFixed(1);
const scripts = parts.filter(({ name }) => name.endsWith(".js"));
const rows = parts.map(
  ({ name, raw, packed }) =>
    `| ${name} | ${kB(raw)} | ${kB(packed)} | ${name.endsWith(".css") ? "all styles" : (says[name.split(".")[0] ?? ""] ?? "")} |`,
);
const total = scripts.reduce((sum, { packed }) => sum + packed, 0);
writeFileSync(
  new URL("../bundle.md", import.meta.url),
  `# What a first visit loads\n\nBy \`npm run bench:bundle\`. All scripts together: ${kB(total)} kB gzipped, of at most 250.\n\n| part | kB | kB gzipped | what it is |\n| --- | ---: | ---: | --- |\n${rows.join("\n")}\n`,
);
process.stdout.write(`${kB(total)} kB of scripts, gzipped\n`);
