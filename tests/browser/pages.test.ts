// The pages in a browser, over a fixture's answers: errors, access, keyboard, live changes, sizes, print.
import { readFile } from "node:fs/promises";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, BrowserContextOptions, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type FixtureServer, serveFixture } from "../pages/fixtures/server.ts";
import { fixtureAsker } from "../pages/fixtures/workshop.ts";
import { almanac, emptyFolder, served } from "../support/almanac.ts";
import { writeShop } from "../support/shop.ts";
import { desk, launch, lookForChromium, openWatched, phone, settled, type Watched } from "./browser.ts";
import { leafAddresses } from "./leaf-addresses.ts";

const leaves = Object.entries(leafAddresses);
const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

const isSkipped = !lookForChromium();
let browser: Browser;

beforeAll(async () => {
  if (!isSkipped) browser = await launch();
});
afterAll(() => browser?.close());

describe.skipIf(isSkipped)("pages in a browser", () => {
  let server: FixtureServer;

  beforeAll(async () => {
    server = await serveFixture(fixtureAsker());
  });
  afterAll(async () => {
    await server?.close();
  });

  async function visit<T>(path: string, options: BrowserContextOptions, look: (watched: Watched) => Promise<T>): Promise<T> {
    const watched = await openWatched(browser, options);
    try {
      await watched.page.goto(`${server.address}${path}`);
      if (options.javaScriptEnabled !== false) await settled(watched.page);
      return await look(watched);
    } finally {
      await watched.close();
    }
  }

  test.each(leaves)(
    "%s: no error, nothing for axe to find, nothing sticks out, every control can be hit",
    async (name, path) => {
      await visit(path, phone, async ({ page, complaints }) => {
        for (const size of [phone, desk])
          for (const colorScheme of ["light", "dark"] as const) {
            await page.setViewportSize(size.viewport!);
            await page.emulateMedia({ colorScheme });
            await settled(page);
            const { violations } = await new AxeBuilder({ page }).withTags(tags).analyze();
            const found = violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(" ")}`);
            expect(found, `${size.viewport!.width} pixels, ${colorScheme}`).toEqual([]);
          }
        // 640 is a desk's page at 200 %.
        for (const width of [360, 640]) {
          await page.setViewportSize({ width, height: 800 });
          await settled(page);
          expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
          expect(await smallControls(page), `${width} pixels`).toEqual([]);
        }
        // The page of an address that names nothing answers 404 itself, and the browser says so.
        expect(complaints.filter((words) => !(name === "machine-absent" && words.includes("404")))).toEqual([]);
      });
    },
    240_000,
  );

  test("Today arrives with its numbers, and without scripts too", async () => {
    await visit("/", { ...desk, javaScriptEnabled: false }, async ({ page }) => {
      const words = await page.locator("main").textContent();
      expect(words).toMatch(/badges enabled machines for 182 hours, on 13 machines/);
      expect(words).toMatch(/The picture needs scripts/);
    });
  });

  test("arrow keys read a chart's values", async () => {
    await visit("/", desk, async ({ page }) => {
      const chart = page.getByRole("slider", { name: "Badge hours by week, all machines" });
      await chart.focus();
      expect(await chart.getAttribute("aria-valuetext")).toMatch(/^week of 6 April 2026: [\d.]+ hours$/);
      await page.keyboard.press("End");
      expect(await chart.getAttribute("aria-valuetext")).toMatch(/^week of 28 September 2026: [\d.]+ hours$/);
      await page.keyboard.press("ArrowLeft");
      expect(await chart.getAttribute("aria-valuetext")).toMatch(/^week of 21 September 2026/);
      expect(await page.locator(".readout").first().textContent()).toMatch(/^week of 21 September 2026/);
    });
  });

  test("pointing and touching read a chart's values, on a map in both directions", async () => {
    await visit("/machines/table-saw-1", desk, async ({ page }) => {
      const map = page.locator(".plate[data-chart=weekMap]");
      const box = (await map.boundingBox())!;
      await map.hover({ position: { x: box.width - 10, y: 20 } });
      expect(await map.getAttribute("aria-valuetext")).toMatch(/^Monday 23:00–00:00: 0 minutes/);
      await map.focus();
      await page.keyboard.press("ArrowDown");
      await page.keyboard.press("ArrowLeft");
      expect(await map.getAttribute("aria-valuetext")).toMatch(/^Tuesday 22:00–23:00/);
    });
    await visit("/machines/table-saw-1", phone, async ({ page }) => {
      const bars = page.locator(".plate[data-chart=timeBars]").first();
      await bars.tap({ position: { x: 325, y: 100 } });
      expect(await page.locator(".readout").first().textContent()).toMatch(/^week of .* September 2026: [\d.]+/);
    });
  });

  test.each(["today", "machine", "bench"])("the keyboard walk through %s", async (name) => {
    const walk = await visit(leafAddresses[name]!, desk, async ({ page }) => keyboardWalk(page));
    await expect(`${walk.join("\n")}\n`).toMatchFileSnapshot(`golden/walk-${name}.txt`);
  });

  test("a leaf follows a link without loading anew, comes back, and keeps the period", async () => {
    await visit("/?period=month&on=2026-08-10", desk, async ({ page, complaints }) => {
      await page.evaluate(() => Object.assign(window, { stayed: true }));
      await page.getByRole("navigation", { name: "Contents" }).getByRole("link", { name: "Machines" }).click();
      await page.getByRole("heading", { level: 1, name: "Machines" }).waitFor();
      expect(page.url()).toMatch(/\/machines\?period=month&on=2026-08-10$/);
      expect(await page.title()).toBe("Machines · Quarry Street Workshop");
      await page.getByRole("link", { name: "Year", exact: true }).click();
      await page.getByText("1 January – 31 December 2026").waitFor();
      await page.getByRole("link", { name: "Thickness planer" }).click();
      await page.getByRole("heading", { level: 1, name: "Thickness planer" }).waitFor();
      await page.goBack();
      await page.getByRole("heading", { level: 1, name: "Machines" }).waitFor();
      await page.goBack();
      await page.goBack();
      await page.getByRole("heading", { level: 1, name: "Today at the workshop" }).waitFor();
      expect(await page.evaluate(() => "stayed" in window)).toBe(true);
      expect(complaints).toEqual([]);
    });
  });

  test("a machine is found by a word", async () => {
    await visit("/", desk, async ({ page }) => {
      await page.getByRole("searchbox", { name: "Find a machine" }).fill("lathe");
      await page.keyboard.press("Enter");
      await page.getByText(/2 machines of 14 with/).waitFor();
      expect(await page.locator("table.machines tbody tr").count()).toBe(2);
    });
  });

  test("lives typed in are worked out, and what is not understood is said", async () => {
    await visit("/sums", desk, async ({ page, complaints }) => {
      const box = page.getByRole("textbox", { name: /Hours each one lasted/ });
      await box.fill("54 failed\n187 maybe");
      await page.getByRole("button", { name: "Work it out" }).first().click();
      await page.getByText("Not understood: line 2, “187 maybe”").waitFor();
      await box.fill("54 failed\n187 failed\n216 good");
      await page.getByRole("button", { name: "Work it out" }).first().click();
      await page.getByText("2 lives that ended, 1 still good when last seen.").waitFor();
      await settled(page);
      expect(await page.getByRole("slider", { name: "Share still good at each age" }).count()).toBe(1);
      expect(complaints).toEqual([]);
    });
  });

  test("numbers and picture can be taken away", async () => {
    await visit("/machines/planer", desk, async ({ page }) => {
      const figure = page.getByRole("figure", { name: "Badge hours by week" });
      const [numbers] = await Promise.all([page.waitForEvent("download"), figure.getByRole("button", { name: "CSV" }).click()]);
      expect(numbers.suggestedFilename()).toBe("badge-hours-by-week.csv");
      expect(await readFile(await numbers.path(), "utf8")).toMatch(
        /^machine,from,until,day,.*enabledHours_low,enabledHours_best,enabledHours_high/,
      );
      const [picture] = await Promise.all([
        page.waitForEvent("download"),
        figure.getByRole("button", { name: "Picture" }).click(),
      ]);
      const svg = await readFile(await picture.path(), "utf8");
      expect(svg).toMatch(/^<svg .*<title>Badge hours by week<\/title>/s);
      expect(svg).not.toContain("var(--");
      expect(svg).toContain("rgb(172, 67, 13)");
    });
  });

  test("a change refreshes the page, and a lost connection is said and comes back by itself", async () => {
    const own = await serveFixture(fixtureAsker({ isEmpty: true }));
    const { page, close } = await openWatched(browser, desk);
    try {
      await page.goto(own.address);
      await page.waitForSelector("body[data-ready]");
      await page.getByText("almanac ingest your-log.csv").waitFor();
      expect(await page.locator("svg").count()).toBe(0);
      own.change(fixtureAsker());
      await page.getByRole("heading", { name: "Today at the workshop" }).waitFor();
      await settled(page);
      own.setDeaf(true);
      await page.getByText("The server can't be heard.").waitFor();
      own.setDeaf(false);
      await page.getByText("The server can't be heard.").waitFor({ state: "detached", timeout: 30_000 });
      expect(await page.getByRole("heading", { name: "Today at the workshop" }).count()).toBe(1);
    } finally {
      await close();
      await own.close();
    }
  });

  test("a change elsewhere takes nothing away from who is typing", async () => {
    const own = await serveFixture(fixtureAsker());
    const { page, complaints, close } = await openWatched(browser, desk);
    try {
      await page.goto(`${own.address}/sums`);
      await page.waitForSelector("body[data-ready]");
      const box = page.getByRole("textbox", { name: /Hours each one lasted/ });
      await box.fill("54 failed\n187");
      const asked = page.waitForResponse((response) => response.url().endsWith("/api/v1/calendar"));
      own.change(fixtureAsker({ today: "2026-10-02" }));
      await asked;
      await page.getByText("2 October 2026").waitFor();
      expect(await box.inputValue()).toBe("54 failed\n187");
      expect(complaints).toEqual([]);
    } finally {
      await close();
      await own.close();
    }
  });

  test("what a visitor has no right to is left out, and an address refused says so", async () => {
    const own = await serveFixture(fixtureAsker(), { may: ["see-use", "see-demand"] });
    const { page, close } = await openWatched(browser, desk);
    try {
      await page.goto(`${own.address}/machines/planer`);
      await settled(page);
      expect(await page.getByRole("navigation", { name: "Contents" }).getByRole("link").allTextContents()).toEqual([
        "Today",
        "Machines",
        "Demand",
      ]);
      expect(await page.getByRole("figure", { name: "How long sessions last" }).count()).toBe(0);
      const refused = await page.goto(`${own.address}/log`);
      expect(refused?.status()).toBe(403);
      await page.getByRole("heading", { name: "Not for you to see" }).waitFor();
    } finally {
      await close();
      await own.close();
    }
  });

  test.each([
    ["A4", 794],
    ["Letter", 816],
  ])("prints on %s: pictures fit, tables are whole, controls stay away", async (format, width) => {
    await visit("/log", { ...desk, viewport: { width, height: 1100 } }, async ({ page }) => {
      await page.emulateMedia({ media: "print" });
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
      expect(await page.locator("button:visible").count()).toBe(0);
      expect(await page.locator("svg:visible").count()).toBe(2);
      const pdf = await page.pdf({ format });
      expect(pdf.subarray(0, 5).toString()).toBe("%PDF-");
    });
  });

  test("nothing moves for those who asked for stillness", async () => {
    await visit("/", { ...desk, reducedMotion: "reduce" }, async ({ page }) => {
      await page.evaluate(() => document.querySelector(".sheet")?.setAttribute("aria-busy", "true"));
      expect(await page.evaluate(() => document.getAnimations().length)).toBe(0);
    });
  });
});

describe.skipIf(isSkipped)("the built program in a browser", () => {
  test("a log is read, served and seen: charts with real numbers, no error on any leaf", async () => {
    const folder = emptyFolder();
    writeShop(folder.path);
    await almanac(folder.path, ["ingest", "log.csv"]);
    const running = await served(folder.path, ["serve"]);
    const { page, complaints, close } = await openWatched(browser, desk);
    try {
      await page.goto(running.address);
      await settled(page);
      expect(await page.locator("svg").count()).toBe(4);
      const bars = page.getByRole("slider", { name: "Badge hours by week, all machines" });
      await bars.focus();
      // The shop's log: an hour every eleven hours from Monday 3 March 2025, 09:00.
      expect(await bars.getAttribute("aria-valuetext")).toBe("week of 3 March 2025: 15.0 hours");
      for (const path of ["machines", "machines/planer", "machines/dust-collector", "demand", "log", "sums"]) {
        await page.goto(`${running.address}${path}`);
        await settled(page);
      }
      expect(complaints).toEqual([]);
    } finally {
      await close();
      running.child.kill();
      await running.ended;
      folder.remove();
    }
  });
});

/** Controls less than 44 pixels high; links within sentences are as high as their line. */
const smallControls = (page: Page): Promise<string[]> =>
  page.evaluate(() =>
    [
      ...document.querySelectorAll<HTMLElement>(
        "nav a, .period a, summary, button, input:not([type=hidden], [type=radio], [type=checkbox]), label:has(input)",
      ),
    ]
      .filter((element) => element.offsetParent !== null && element.getBoundingClientRect().height < 43.9)
      .map((element) => `${element.getBoundingClientRect().height}: ${element.outerHTML.slice(0, 80)}`),
  );

/** What Tab comes to, one line a stop: role and accessible name. */
async function keyboardWalk(page: Page): Promise<string[]> {
  const stops: string[] = [];
  await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
  for (let i = 0; i < 120; i++) {
    await page.keyboard.press("Tab");
    const stop = await page.evaluate(() => {
      const element = document.activeElement;
      if (!element || element === document.body) return null;
      const labelled = element.getAttribute("aria-labelledby");
      const name =
        element.getAttribute("aria-label") ??
        (labelled ? document.getElementById(labelled)?.textContent : null) ??
        (element as HTMLInputElement).labels?.[0]?.textContent ??
        element.textContent;
      return `${element.getAttribute("role") ?? element.tagName.toLowerCase()}: ${name?.replaceAll(/\s+/g, " ").trim()}`;
    });
    if (stop === null) break;
    stops.push(stop);
  }
  return stops;
}
