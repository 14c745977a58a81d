// Pictures of every leaf for a person to look at: both sizes, both themes, full, empty, one machine, many machines.
// `npm run screens [-- WORD…]` writes those whose name has a word into tests/screens/; `npm run screens -- readme` the three that the
// README shows into dashboard/pictures/.
import { mkdirSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { serveFixture } from "../pages/fixtures/server.ts";
import { fixtureAsker } from "../pages/fixtures/workshop.ts";
import { desk, launch, lookForChromium, openWatched, phone, settled } from "./browser.ts";
import { leafAddresses } from "./leaf-addresses.ts";

const folder = fileURLToPath(new URL("../screens/", import.meta.url));
const pictures = fileURLToPath(new URL("../../dashboard/pictures/", import.meta.url));
/** What the README shows: the first screenful of three leaves. */
const shown = [
  { file: "today.png", path: "/", options: { ...desk, viewport: { width: 1100, height: 860 } }, theme: "light" },
  {
    file: "machine.png",
    path: "/machines/table-saw-1",
    options: { ...desk, viewport: { width: 1100, height: 860 } },
    theme: "dark",
  },
  { file: "service.png", path: "/service", options: phone, theme: "light" },
] as const;
const leaves = Object.keys(leafAddresses);
const workshops: { name: string; leaves: string[]; settings: Parameters<typeof fixtureAsker>[0] }[] = [
  { name: "full", leaves, settings: {} },
  { name: "empty", leaves, settings: { isEmpty: true } },
  { name: "unset", leaves: ["today", "setup"], settings: { isUnset: true, isEmpty: true } },
  { name: "one", leaves, settings: { machines: 1 } },
  { name: "many", leaves, settings: { machines: 128 } },
];

if (!lookForChromium()) process.exit(1);
const words = process.argv.slice(2);
mkdirSync(folder, { recursive: true });
const browser = await launch();
if (words.includes("readme")) {
  mkdirSync(pictures, { recursive: true });
  const server = await serveFixture(fixtureAsker());
  for (const { file, path, options, theme } of shown) {
    const { page, close } = await openWatched(browser, { ...options, colorScheme: theme });
    await page.goto(`${server.address}${path}`);
    await settled(page);
    await page.screenshot({ path: `${pictures}${file}` });
    process.stdout.write(`${file}\n`);
    await close();
  }
  await server.close();
  await browser.close();
  process.exit(0);
}
for (const { name: workshop, leaves, settings } of workshops) {
  const server = await serveFixture(fixtureAsker(settings));
  for (const leaf of leaves)
    for (const [size, options] of Object.entries({ desk, phone }))
      for (const theme of ["light", "dark"] as const) {
        const name = `${workshop}-${leaf}-${size}-${theme}`;
        if (words.length && !words.some((word) => name.includes(word))) continue;
        const { page, complaints, close } = await openWatched(browser, { ...options, colorScheme: theme });
        await page.goto(`${server.address}${leafAddresses[leaf]}`);
        await settled(page);
        await page.screenshot({ path: `${folder}${name}.png`, fullPage: true });
        process.stdout.write(`${name}${complaints.length ? `: ${complaints.join("; ")}` : ""}\n`);
        await close();
      }
  await server.close();
}
await browser.close();
