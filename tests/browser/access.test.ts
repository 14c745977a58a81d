// The doors in a browser: the welcome link, sign-in, second factor, a phone at the bench, sign-out; for eyes, fingers and ears.
import { existsSync } from "node:fs";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { AxeBuilder } from "@axe-core/playwright";
import { Secret, TOTP } from "otpauth";
import { type Browser, chromium, type Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { issueToken } from "../../dashboard/access/tokens.ts";
import { inTurn } from "../../dashboard/access/turn.ts";
import { emptyHouse, giveAccount, type House, openHouse, passwordOf } from "../access/house.ts";

const found = [process.env.ALMANAC_CHROMIUM, "/usr/bin/chromium", "/usr/bin/chromium-browser"].find(
  (path) => path && existsSync(path),
);
if (!found) {
  const words = "no Chromium found; set ALMANAC_CHROMIUM to one, or install the package chromium";
  if (process.env.CI === "true") throw new Error(words);
  process.stderr.write(`\nTHE DOORS WERE NOT TRIED IN A BROWSER: ${words}\n\n`);
}

describe.skipIf(!found)("in a browser", () => {
  let browser: Browser;
  let house: House;
  beforeAll(async () => {
    house = await openHouse();
    browser = await chromium.launch({ executablePath: found!, args: ["--disable-dev-shm-usage"] });
  });
  afterAll(async () => {
    await browser?.close();
    await house?.close();
  });

  interface Visit {
    page: Page;
    complaints: string[];
    /** Looks at the page as it stands with the eyes of WCAG 2.2 AA and measures what is to be touched. */
    inspect(): Promise<void>;
    close(): Promise<void>;
  }

  async function visit(width = 390): Promise<Visit> {
    const context = await browser.newContext({ viewport: { width, height: 800 }, baseURL: house.address, locale: "en-GB" });
    const page = await context.newPage();
    const complaints: string[] = [];
    page.on("console", (message) => {
      if (["error", "warning"].includes(message.type())) complaints.push(message.text());
    });
    page.on("pageerror", (error) => complaints.push(error.message));
    return {
      page,
      complaints,
      async inspect() {
        const { violations } = await new AxeBuilder({ page }).withTags(["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]).analyze();
        expect(violations.map(({ id, nodes }) => `${page.url()} ${id}: ${nodes[0]?.html}`)).toEqual([]);
        const small = await page
          .locator("button, input:not([type=hidden])")
          .evaluateAll((nodes) =>
            nodes
              .filter((node) => node.getBoundingClientRect().height < 44 || node.getBoundingClientRect().width < 44)
              .map((node) => node.outerHTML),
          );
        expect(small).toEqual([]);
        expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
      },
      close: () => context.close(),
    };
  }

  const codeOf = (factor: string, at = Date.now()) => TOTP.generate({ secret: Secret.fromBase32(factor), timestamp: at });

  it("a new steward chooses a password, sets a second factor, signs out and in again, with the keyboard alone", async () => {
    await emptyHouse(house);
    await giveAccount(house.store, "ann", ["steward"]);
    const { secret } = await inTurn(house.store, (connection) =>
      issueToken(connection, { purpose: "welcome", name: "ann", by: "a test" }, new Date()),
    );
    const { page, complaints, inspect, close } = await visit();

    await page.goto(`/welcome?code=${secret}`);
    expect(await page.title()).toBe("Welcome, ann · Workshop Almanac");
    await inspect();
    await page.getByLabel("Choose a password").fill("password1234");
    await page.getByLabel("The same once more").fill("password1234");
    await page.keyboard.press("Enter");
    await page.getByRole("alert").waitFor();
    expect(await page.getByRole("alert").textContent()).toContain("This password won't do");
    expect(await page.title()).toMatch(/^Not done:/);
    await inspect();
    // The answer 422 to a form is one line in the console, and the only one.
    expect(complaints.splice(0)).toEqual([expect.stringContaining("422")]);
    await page.getByLabel("Choose a password").fill("heron marble nineteen cups");
    await page.getByLabel("The same once more").fill("heron marble nineteen cups");
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { name: "Your account" }).waitFor();
    await inspect();

    await page.locator("#factor-password").fill("heron marble nineteen cups");
    await page.getByRole("button", { name: "Set a second factor" }).click();
    await page.getByRole("heading", { name: "Set a second factor" }).waitFor();
    expect(
      (await page.getByRole("img", { name: "QR code of the second factor" }).locator("svg").boundingBox())?.width,
    ).toBeGreaterThan(200);
    await inspect();
    const factor = ((await page.locator("#factor").textContent()) ?? "").replaceAll(" ", "");
    const proved = Date.now();
    await page.getByLabel("The six digits").fill(codeOf(factor, proved));
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { name: "The second factor is set" }).waitFor();
    expect(await page.locator("ul.codes li").count()).toBe(10);
    await inspect();
    await page.getByRole("link", { name: "I have them" }).click();

    await page.getByRole("button", { name: "Sign out", exact: true }).click();
    await page.getByText("This browser is signed out.").waitFor();
    await inspect();
    await page.goto("/account");
    expect(new URL(page.url()).pathname).toBe("/sign-in");
    await inspect();
    await page.getByLabel("Name").focus();
    await page.keyboard.type("ann");
    await page.keyboard.press("Tab");
    await page.keyboard.type("heron marble nineteen cups");
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { name: "One-time code" }).waitFor();
    await inspect();
    await page.getByLabel("Code").fill(codeOf(factor, proved + 30_000));
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { name: "Your account" }).waitFor();
    expect(await page.getByText("Signed in as ann: steward.").count()).toBe(1);
    expect(await page.evaluate(() => document.cookie)).toBe("");
    expect(complaints).toEqual([]);
    await close();
  });

  it("a wrong password is told beside what was typed, which is not shown again", async () => {
    await emptyHouse(house);
    await giveAccount(house.store, "ann", ["steward"]);
    const { page, inspect, close } = await visit(1280);
    await page.goto("/sign-in");
    await page.getByLabel("Name").fill("ann");
    await page.getByLabel("Password").fill("wrong password");
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.getByRole("alert").waitFor();
    expect(await page.getByLabel("Name").inputValue()).toBe("ann");
    expect(await page.getByLabel("Password").inputValue()).toBe("");
    expect(await page.getByLabel("Password").getAttribute("aria-describedby")).toBe("complaint");
    await inspect();
    await page.emulateMedia({ colorScheme: "dark" });
    await inspect();
    await close();
  });

  it("a phone is enrolled at the bench by a link, once, and sent away", async () => {
    await emptyHouse(house);
    await giveAccount(house.store, "ann", ["steward"]);
    await giveAccount(house.store, "max", ["maintenance"]);
    const desk = await visit(1280);
    await desk.page.goto("/benches");
    await desk.page.getByLabel("Name").fill("max");
    await desk.page.getByLabel("Password").fill(passwordOf("max"));
    await desk.page.keyboard.press("Enter");
    await desk.page.getByRole("heading", { name: "Phones at the bench" }).waitFor();
    expect(new URL(desk.page.url()).pathname).toBe("/benches");
    await desk.inspect();
    await desk.page.getByLabel("What to call it").fill("wood room");
    await desk.page.keyboard.press("Enter");
    await desk.page.getByRole("heading", { name: "A link for wood room" }).waitFor();
    await desk.inspect();
    const link = (await desk.page.locator("#link").textContent()) ?? "";

    const phone = await visit();
    await phone.page.goto(link);
    await phone.inspect();
    await phone.page.getByRole("button", { name: "Enrol this phone" }).click();
    await phone.page.getByText("It is called wood room.").waitFor();
    await phone.inspect();
    const rights = await phone.page.evaluate(async () => (await fetch("/api/v1/visitor")).json());
    expect(rights).toMatchObject({ name: "bench wood room", rights: ["anyone", "come-in", "see-service", "do-service"] });
    expect(await phone.page.evaluate(async () => (await fetch("/api/v1/hours")).status)).toBe(403);
    await phone.page.goto(link);
    expect(await phone.page.title()).toMatch(/^This link is used up/);
    await phone.inspect();

    await desk.page.goto("/benches");
    await desk.page.getByRole("button", { name: "Send wood room away" }).click();
    await desk.page.getByText("wood room is sent away.").waitFor();
    expect(await phone.page.evaluate(async () => (await fetch("/api/v1/visitor")).json())).toMatchObject({ name: null });
    await desk.close();
    await phone.close();
  });

  it("a page elsewhere can neither read nor send with the reader's cookie", async () => {
    await emptyHouse(house);
    await giveAccount(house.store, "ann", ["steward"]);
    const { page, close } = await visit(1280);
    await page.goto("/sign-in");
    await page.getByLabel("Name").fill("ann");
    await page.getByLabel("Password").fill(passwordOf("ann"));
    await page.keyboard.press("Enter");
    await page.waitForURL((url) => url.pathname === "/");
    const elsewhere = createServer((_request, response) =>
      response.setHeader("content-type", "text/html").end("<title>Elsewhere</title>"),
    );
    await new Promise<void>((done) => elsewhere.listen(0, "127.0.0.1", done));
    await page.goto(`http://127.0.0.1:${(elsewhere.address() as AddressInfo).port}/`);
    const tried = await page.evaluate(async (address) => {
      const seen = await fetch(`${address}/api/v1/visitor`, { credentials: "include" }).then(
        () => "read",
        () => "refused",
      );
      // The answer is kept from this page too, so the promise breaks; the request itself was sent.
      await fetch(`${address}/sign-out`, { method: "POST", mode: "no-cors", credentials: "include" }).catch(() => undefined);
      return seen;
    }, house.address);
    await page.evaluate((address) => {
      const form = document.createElement("form");
      form.method = "post";
      form.action = `${address}/sign-out`;
      document.body.append(form);
      form.submit();
    }, house.address);
    await page.waitForURL(/sign-out/);
    expect(await page.getByText("a request from our own pages").count()).toBe(1);
    elsewhere.close();
    expect(tried).toBe("refused");
    await page.goto(`${house.address}/account`);
    expect(await page.getByText("Signed in as ann: steward.").count()).toBe(1);
    await close();
  });
});
