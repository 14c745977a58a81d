// Pictures of every leaf for a person to look at: both sizes, both themes, full, empty, one machine, many machines.
// `npm run screens [-- WORD…]` writes those whose name has a word into tests/screens/.
import { mkdirSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { serveFixture } from "../pages/fixtures/server.ts";
import { fixtureAsker } from "../pages/fixtures/workshop.ts";
import { desk, launch, lookForChromium, openWatched, phone, settled } from "./browser.ts";
import { leafAddresses } from "./leaf-addresses.ts";

const folder = fileURLToPath(new URL("../screens/", import.meta.url));
const workshops: { name: string; leaves: string[]; settings: Parameters<typeof fixtureAsker>[0] }[] = [
  { name: "full", leaves: Object.keys(leafAddresses), settings: {} },
  { name: "empty", leaves: ["today"], settings: { isEmpty: true } },
  { name: "one", leaves: ["today", "machines", "demand"], settings: { machines: 1 } },
  { name: "many", leaves: ["today", "machines", "demand", "log"], settings: { machines: 128 } },
];

if (!lookForChromium()) process.exit(1);
const words = process.argv.slice(2);
mkdirSync(folder, { recursive: true });
const browser = await launch();
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
