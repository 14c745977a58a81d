// A volunteer at the machine with a phone: a tick, one without the network, and back.
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { commands } from "../../dashboard/commands/index.ts";
import { type Served, serve } from "../../dashboard/server/serve.ts";
import { workshopText } from "../service/shop.ts";
import { emptyFolder } from "../support/almanac.ts";
import { launch, lookForChromium, phone, settled } from "./browser.ts";

const isSkipped = !lookForChromium();

describe.skipIf(isSkipped)("service on a phone", () => {
  const folder = emptyFolder();
  let browser: Browser;
  let server: Served;

  beforeAll(async () => {
    const workshop = join(folder.path, "workshop.yaml");
    writeFileSync(workshop, workshopText);
    const exposure = { host: "127.0.0.1", tls: null, proxy: null, proxyFrom: [], names: [] };
    server = await serve({
      store: join(folder.path, "almanac.duckdb"),
      commands,
      workshop,
      port: 0,
      exposure,
      log: () => undefined,
    });
    browser = await launch();
  });
  afterAll(async () => {
    await browser?.close();
    await server?.close();
    folder.remove();
  });

  const records = async () => {
    const answer = await fetch(`${server.address}api/v1/service?machine=planer`);
    const { services } = (await answer.json()) as { services: { task: string; found: string; undone: boolean }[] };
    return services.map(({ task, found, undone }) => ({ task, found, undone }));
  };

  test("ticks a blade, once more without the network, and both arrive once", async () => {
    const context = await browser.newContext(phone);
    const page = await context.newPage();
    const card = (task: string) => page.locator(`[data-about="planer knives ${task}"]`);
    await page.goto(`${server.address}service/planer`);
    await settled(page);
    // Kept are the page itself and its script; before that the phone has nothing to open without the network.
    await page.evaluate(async () => {
      const script = document.querySelector<HTMLScriptElement>("script[src]")!.src;
      while (!(await caches.match(location.href, { ignoreVary: true })) || !(await caches.match(script, { ignoreVary: true })))
        await new Promise((done) => setTimeout(done, 50));
    });

    // One thumb: every button of the tick is a target of 44 pixels or more, and none is chosen beforehand.
    for (const box of await card("sharpen").locator(".found button").all()) {
      const { width, height } = (await box.boundingBox())!;
      expect(Math.min(width, height)).toBeGreaterThanOrEqual(43.9);
      expect(await box.getAttribute("aria-pressed")).toBeNull();
    }
    await card("sharpen").getByRole("button", { name: "worn" }).tap();
    await card("sharpen").getByText("Recorded: found worn.").waitFor();
    expect(await records()).toEqual([{ task: "sharpen", found: "worn", undone: false }]);

    await context.setOffline(true);
    await card("inspect").getByRole("button", { name: "good" }).tap();
    await card("inspect").getByText("Kept on this phone until the server has it: found good.").waitFor();
    expect(await records()).toHaveLength(1);
    // The phone goes into a pocket and comes out again, still without the network.
    await page.reload();
    await settled(page);
    await card("inspect").getByText("Kept on this phone until the server has it: found good.").waitFor();

    await context.setOffline(false);
    await page.evaluate(() => dispatchEvent(new Event("online")));
    await card("inspect").getByText("Recorded: found good.").waitFor();
    await page.reload();
    await settled(page);
    expect(await records()).toEqual([
      { task: "sharpen", found: "worn", undone: false },
      { task: "inspect", found: "good", undone: false },
    ]);
    await context.close();
  }, 120_000);

  test("the second volunteer is told, and a slip is undone", async () => {
    const context = await browser.newContext(phone);
    const page = await context.newPage();
    await page.goto(`${server.address}service/planer`);
    await settled(page);
    const card = page.locator('[data-about="planer knives sharpen"]');
    await card.getByRole("button", { name: "good" }).tap();
    await card.getByText(/somebody has just recorded it, found worn; yours is not added/).waitFor();
    await card.getByRole("button", { name: "It was done twice" }).tap();
    await card.getByText("Recorded: found good.").waitFor();
    await card.getByRole("button", { name: "Undo" }).tap();
    await card.getByText(/is undone/).waitFor();
    expect((await records()).filter(({ task }) => task === "sharpen")).toEqual([
      { task: "sharpen", found: "worn", undone: false },
      { task: "sharpen", found: "good", undone: true },
    ]);
    await context.close();
  }, 120_000);

  test("cautions stand with every task, on the leaf and on the sheet to print; codes open the machine", async () => {
    const context = await browser.newContext(phone);
    const page = await context.newPage();
    await page.goto(`${server.address}service`);
    await settled(page);
    const told = await page.locator(".task").evaluateAll((all) => all.map((task) => task.textContent ?? ""));
    expect(told.length).toBe(8);
    for (const words of told) expect(words).toMatch(/lock out its energy source at the isolator/);
    await page.goto(`${server.address}service/planer/sheet`);
    await settled(page);
    await page.emulateMedia({ media: "print" });
    const sheets = page.locator(".sheet-task");
    expect(await sheets.count()).toBe(3);
    for (const sheet of await sheets.all()) {
      expect(await sheet.locator(".sheet-cautions").isVisible()).toBe(true);
      expect(await sheet.textContent()).toMatch(/not an isolator[\s\S]*As found: good · worn/);
    }
    await page.emulateMedia({ media: "screen" });
    await page.goto(`${server.address}codes`);
    await settled(page);
    await page.locator('.code[data-address$="/service/planer"] path').waitFor({ state: "attached" });
    await context.close();
  }, 120_000);
});
