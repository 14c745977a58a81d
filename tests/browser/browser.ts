// One Chromium for a whole run; where none is found, tests say so aloud, and fail where CI is set.
import { existsSync } from "node:fs";
import { type Browser, type BrowserContextOptions, chromium, type Page } from "playwright-core";

const places = [process.env.ALMANAC_CHROMIUM, "/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

export const chromiumPath: string | null = places.find((place) => place !== undefined && existsSync(place)) ?? null;

/** Throws where a browser is a must. */
export function lookForChromium(): boolean {
  if (chromiumPath) return true;
  const words = "no Chromium found; set ALMANAC_CHROMIUM to one, or install the package chromium";
  if (process.env.CI === "true") throw new Error(words);
  process.stderr.write(`\nBROWSER TESTS SKIPPED: ${words}\n\n`);
  return false;
}

export const launch = (): Promise<Browser> =>
  chromium.launch({ executablePath: chromiumPath!, args: ["--disable-dev-shm-usage"] });

export const desk: BrowserContextOptions = {
  viewport: { width: 1280, height: 800 },
  locale: "en-GB",
  timezoneId: "Asia/Kathmandu",
};
export const phone: BrowserContextOptions = {
  viewport: { width: 390, height: 844 },
  locale: "en-GB",
  timezoneId: "Asia/Kathmandu",
  isMobile: true,
  hasTouch: true,
};

export interface Watched {
  page: Page;
  /** Console errors, exceptions, failed requests and answers from 400 on, in words. */
  complaints: string[];
  close(): Promise<void>;
}

/** A page of its own context whose complaints are kept. */
export async function openWatched(browser: Browser, options: BrowserContextOptions): Promise<Watched> {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) complaints.push(`console: ${message.text()}`);
  });
  page.on("pageerror", (error) => complaints.push(`exception: ${error.message}`));
  page.on("requestfailed", (request) => {
    const reason = request.failure()?.errorText ?? "";
    if (!request.url().endsWith("/stream") && reason !== "net::ERR_ABORTED")
      complaints.push(`failed: ${request.url()} ${reason}`);
  });
  page.on("response", (response) => {
    if (response.status() >= 400) complaints.push(`${response.status()}: ${response.url()}`);
  });
  return { page, complaints, close: () => context.close() };
}

/** Alive, and every figure either drawn or said to have nothing. */
export async function settled(page: Page): Promise<void> {
  await page.waitForSelector("body[data-ready]");
  await page.waitForFunction(() => [...document.querySelectorAll(".plate")].every((plate) => plate.hasAttribute("data-drawn")));
}
