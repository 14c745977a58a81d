// A whole evening in a browser, on a phone and at a desk: the steward begins with a raw log, the volunteer changes a blade and sees
// its date move. The taps that each takes are counted and kept in a table.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, Locator, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { commands } from "../../dashboard/commands/index.ts";
import { type Served, serve } from "../../dashboard/server/serve.ts";
import { emptyFolder } from "../support/almanac.ts";
import { desk, launch, lookForChromium, openWatched, phone, settled } from "./browser.ts";

const isSkipped = !lookForChromium();
const sizes = { phone, desk };
const exposure = { host: "127.0.0.1", tls: null, proxy: null, proxyFrom: [], names: [] };
const taps: { who: string; does: string; size: string; taps: number; typed: number }[] = [];

/** Two stations, used for an hour every evening of two months that end yesterday. */
function rawLog(): string {
  const lines = ["When;Unit;Action;Card"];
  const yesterday = Date.now() - 86_400_000;
  for (let back = 60; back >= 0; back--) {
    const day = new Date(yesterday - back * 86_400_000).toISOString().slice(0, 10).split("-").reverse().join("/");
    for (const [unit, card, from, until] of [
      ["021", "4177", "18:02:10", "19:04:40"],
      ["022", "5310", "18:30:00", "18:52:20"],
    ])
      lines.push(`${day} ${from};${unit};IN;${card}`, `${day} ${until};${unit};OUT;${card}`);
  }
  return `${lines.join("\n")}\n`;
}

/** A page that counts: what is tapped, and what is typed into. */
class Hand {
  taps = 0;
  typed = 0;
  async tap(target: Locator): Promise<void> {
    await target.click();
    this.taps += 1;
  }
  async type(target: Locator, text: string): Promise<void> {
    await target.fill(text);
    this.typed += 1;
  }
  async choose(target: Locator, option: string): Promise<void> {
    await target.selectOption(option);
    this.taps += 2;
  }
}

async function clean(page: Page): Promise<void> {
  const { violations } = await new AxeBuilder({ page }).withTags(["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]).analyze();
  expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(" ")}`)).toEqual([]);
  expect(
    await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth),
  ).toBeLessThanOrEqual(0);
}

describe.skipIf(isSkipped).each(Object.entries(sizes))("an evening on a %s", (size, options) => {
  const folder = emptyFolder();
  let browser: Browser;
  let server: Served;

  beforeAll(async () => {
    const store = join(folder.path, "almanac.duckdb");
    const workshop = join(folder.path, "workshop.yaml");
    server = await serve({ store, commands, workshop, port: 0, exposure, log: () => undefined });
    writeFileSync(join(folder.path, "door.csv"), rawLog());
    browser = await launch();
  });
  afterAll(async () => {
    await browser?.close();
    await server?.close();
    folder.remove();
  });

  test("the steward sets up from a raw log", { timeout: 240_000 }, async () => {
    const { page, complaints, close } = await openWatched(browser, options);
    const hand = new Hand();
    const form = (around: string) => page.locator(`form:has(${around})`).getByRole("button", { name: "Look it over" });
    const write = () => hand.tap(page.getByRole("button", { name: "Write it" }));
    try {
      await page.goto(server.address);
      await page.waitForSelector("body[data-ready]");
      await page.getByRole("heading", { name: "The almanac is not set up yet" }).waitFor();
      await hand.tap(page.locator("main").getByRole("link", { name: "Setup" }));
      await page.locator("input[type=file]").setInputFiles(join(folder.path, "door.csv"));
      hand.taps += 2;
      await page.getByText("Of the first 244 lines of door.csv, 244 would be stored and none rejected").waitFor();
      await clean(page);
      await hand.type(page.getByLabel("The workshop's name"), "Heron Row Workshop");
      await hand.type(page.getByLabel("Its time zone"), "Europe/Lisbon");
      await hand.tap(page.getByRole("button", { name: "Begin with this log" }));

      await page.getByText("244 were stored").waitFor();
      await hand.type(page.getByLabel("Machine at station 021", { exact: true }), "Planer");
      await hand.choose(page.getByLabel("Hazard of the machine at station 021"), "high");
      await hand.type(page.getByLabel("Machine at station 022", { exact: true }), "Band saw");
      await hand.tap(form("table.stations"));
      await write();

      await page.getByText("say when the workshop is open").waitFor();
      await hand.type(page.getByLabel("Tuesday, staffed"), "18-22");
      await hand.tap(form("table.open-week"));
      await page.getByText('tue: ["18:00-22:00"]').waitFor();
      await clean(page);
      await write();

      await page.getByText("Next: say what wears").waitFor();
      await hand.tap(page.locator(".lead").getByRole("link"));
      await page.getByRole("heading", { level: 1, name: "Setup of Planer" }).waitFor();
      await hand.choose(page.getByLabel("Add a part: what kind is it?"), "planer-knives");
      await hand.type(page.getByLabel("What you call it"), "knives");
      await hand.type(page.getByLabel("Fitted on"), new Date(Date.now() - 61 * 86_400_000).toISOString().slice(0, 10));
      await hand.tap(form("fieldset"));
      await page.getByText("class: planer-knives").waitFor();
      await write();
      await page.getByRole("button", { name: "Take away knives" }).waitFor();
      await clean(page);

      const file = readFileSync(join(folder.path, "workshop.yaml"), "utf8");
      expect(file).toMatch(/^# The workshop file/);
      for (const words of [
        "name: Planer",
        "hazard: high",
        "station: 021",
        "class: planer-knives",
        "zone: Europe/Lisbon # its clock",
      ])
        expect(file).toContain(words);
      expect(complaints).toEqual([]);
      taps.push({
        who: "steward",
        does: "sets up from a raw log: two machines, an evening, one part",
        size,
        taps: hand.taps,
        typed: hand.typed,
      });
    } finally {
      await close();
    }
  });

  test("the volunteer ticks a blade as changed and sees its date move", { timeout: 240_000 }, async () => {
    const { page, complaints, close } = await openWatched(browser, options);
    const hand = new Hand();
    try {
      await page.goto(`${server.address}service/planer`);
      await settled(page);
      const due = async () => {
        const { tasks } = (await (await fetch(`${server.address}api/v1/due?machine=planer`)).json()) as {
          tasks: { task: string; state: string; due: { median: string | null }; used: { best: number } }[];
        };
        return tasks.find(({ task }) => task === "replace")!;
      };
      const before = await due();
      const card = page.locator('[data-about="planer knives replace"]');
      const words = await card.locator("p").first().textContent();
      await hand.tap(card.getByRole("button", { name: "worn", exact: true }));
      await page.waitForFunction(
        (old) => document.querySelector('[data-about="planer knives replace"] p')?.textContent !== old,
        words,
        { timeout: 60_000 },
      );
      const after = await due();
      expect(after.used.best).toBeLessThan(before.used.best);
      expect((after.due.median ?? "9999") > (before.due.median ?? "0000")).toBe(true);
      expect(complaints).toEqual([]);
      taps.push({
        who: "volunteer",
        does: "ticks a blade as changed, sees its date move",
        size,
        taps: hand.taps,
        typed: hand.typed,
      });
    } finally {
      await close();
    }
  });
});

describe.skipIf(isSkipped)("the table of taps", () => {
  test("is what it took", async () => {
    const rows = taps.map(({ who, does, size, taps, typed }) => `| ${who} | ${does} | ${size} | ${taps} | ${typed} |`);
    expect(taps).toHaveLength(4);
    const text = `# Taps of an evening\n\nCounted by \`evening.test.ts\`; a choice from a list counts as two, a field typed into is counted apart.\n\n| who | does | on | taps | fields typed |\n| --- | --- | --- | --- | --- |\n${rows.join("\n")}\n`;
    await expect(text).toMatchFileSnapshot("golden/taps.md");
  });
});
