// The pages as the built program sends them, over a store of a few weeks.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { almanac, emptyFolder, type Running, served } from "../support/almanac.ts";
import { countsOfLog, sessionsInLog, writeShop } from "../support/shop.ts";

const folder = emptyFolder();
let server: Running & { address: string };

beforeAll(async () => {
  writeShop(folder.path);
  const { code } = await almanac(folder.path, ["ingest", "log.csv"]);
  if (code !== 0) throw new Error(`ingest ended with ${code}`);
  server = await served(folder.path, ["serve"]);
});
afterAll(async () => {
  server?.child.kill();
  await server?.ended;
  folder.remove();
});

const get = (path: string, accept = "*/*") =>
  fetch(new URL(path, server.address), { headers: { accept, "accept-language": "en-GB" } });
// biome-ignore lint/suspicious/noExplicitAny: answers are checked by the assertions that read them
const answer = async (path: string): Promise<any> => (await get(`/api/v1/${path}`)).json();
const pageData = async (path: string) =>
  JSON.parse(/<script type="application\/json" id="page-data">(.*?)<\/script>/s.exec(await (await get(path)).text())![1]!);

describe("what pages ask beside the hours", () => {
  test("the calendar is the workshop's", async () => {
    const calendar = await answer("calendar");
    expect(calendar).toMatchObject({
      workshop: "Heron Row Workshop",
      zone: "Europe/Lisbon",
      firstEvent: "2025-03-03T09:00:00.000Z",
      firstDay: "2025-03-03",
      // 59 × 11 + 1 hours after the first start, and an hour of summer time since 30 March 2025 in Lisbon.
      lastEvent: "2025-03-30T11:00:00.000Z",
      lastDay: "2025-03-30",
      lastClock: "12:00",
    });
    expect(calendar.today).toMatch(/^20\d\d-\d\d-\d\d$/);
  });

  test("coverage counts every stored event once, on its local day", async () => {
    const { coverage } = await answer("log");
    const expected = new Map<string, number>();
    const local = new Intl.DateTimeFormat("sv-SE", { timeZone: "Europe/Lisbon" });
    for (let i = 0; i < sessionsInLog; i++)
      for (const hours of [0, 1]) {
        const key = `${21 + (i % 2)} ${local.format(Date.UTC(2025, 2, 3, 9 + 11 * i + hours))}`;
        expected.set(key, (expected.get(key) ?? 0) + 1);
      }
    const found = coverage.map(({ station, day, events }: { station: string; day: string; events: number }) => [
      `${station} ${day}`,
      events,
    ]);
    expect(Object.fromEntries(found)).toEqual(Object.fromEntries(expected));
    expect(found.reduce((sum: number, [, events]: [string, number]) => sum + events, 0)).toBe(countsOfLog.stored);
  });

  test("coverage and causes keep to the days asked for", async () => {
    const { coverage } = await answer("log?since=2025-03-04&until=2025-03-04");
    expect(coverage.length).toBeGreaterThan(0);
    expect(new Set(coverage.map(({ day }: { day: string }) => day))).toEqual(new Set(["2025-03-04"]));
  });

  test("rejects by reason name the first lines of each", async () => {
    const { reasons } = await answer("rejects?by=reason");
    expect(reasons.map(({ field, rejects }: { field: string; rejects: number }) => [field, rejects]).sort()).toEqual([
      ["event", 1],
      ["time", 1],
    ]);
    expect(reasons[0].lines[0]).toMatchObject({
      file: expect.stringMatching(/log\.csv$/),
      line: expect.any(Number),
      text: expect.any(String),
    });
  });

  test("hours name the local day of their bucket", async () => {
    const { rows } = await answer("hours?by=week&machine=planer");
    expect(rows.map(({ day }: { day: string }) => day)).toEqual(["2025-03-03", "2025-03-10", "2025-03-17", "2025-03-24"]);
  });
});

describe("pages", () => {
  test("arrive with the numbers that the API gives", async () => {
    const { rows } = await answer("hours?since=2025-03-01&until=2025-05-31");
    const hours = rows
      .filter(({ machine }: { machine: string }) => machine !== "dust-collector")
      .reduce((sum: number, row: { enabledHours: { best: number } }) => sum + row.enabledHours.best, 0);
    expect(hours).toBeCloseTo(sessionsInLog, 9);
    const html = await (await get("/")).text();
    expect(html).toContain(`<strong class="key">${hours.toFixed(1)} hours</strong>`);
    expect(html).toContain("The log ends on");
  });

  test.each(["/", "/machines", "/machines/planer", "/machines/dust-collector", "/demand", "/log", "/sums"])(
    "%s is HTML, not kept by caches",
    async (path) => {
      const response = await get(path, "text/html");
      expect(response.status).toBe(200);
      expect(response.headers.get("content-type")).toMatch(/^text\/html/);
      expect(response.headers.get("cache-control")).toBe("no-store");
    },
  );

  test("carry the same data as the API", async () => {
    const { data } = await pageData("/machines?period=all");
    const { rows } = await answer("hours?since=2025-03-03&until=2025-03-30");
    expect(data.rows).toEqual(rows);
  });

  test("an address that names nothing is 404, in words", async () => {
    const response = await get("/machines/none");
    expect(response.status).toBe(404);
    expect(await response.text()).toContain("Nothing is here");
    expect((await get("/built/none.js")).status).toBe(404);
  });

  test("scripts and styles are there, hashed and kept for good; what is typed into the address does no harm", async () => {
    const html = await (await get("/")).text();
    const script = /<script type="module" src="([^"]+)"/.exec(html)![1]!;
    expect(script).toMatch(/^\/built\/assets\/page-[\w-]+\.js$/);
    const response = await get(script);
    expect(response.headers.get("cache-control")).toContain("immutable");
    expect(response.headers.get("content-type")).toMatch(/javascript/);
    expect((await get("/?period=%00&on=x&from=%F0")).status).toBe(200);
    expect((await get("/?period=week&period=month")).status).toBe(200);
  });

  test("sums are worked on the server, without a script", async () => {
    // Source: ISO 281, L10 = (C/P)^3 million turns: 10 kN on 1 kN lasts 1000 million turns, at 1000 turns a minute 16,667 hours.
    const html = await (await get("/sums?c=10&p=1&rpm=1000&kind=ball")).text();
    expect(html).toMatch(/16,700 hours<\/strong> of turning, or (<!-- -->)?1,000 million/);
    expect(await (await get("/sums?c=10&p=0&rpm=1000&kind=ball")).text()).toMatch(/role="alert">[^<]*loadKn/);
  });

  test("a workshop file that was broken meanwhile is told on the page, and mended by itself", async () => {
    const file = join(folder.path, "workshop.yaml");
    const good = readFileSync(file, "utf8");
    try {
      writeFileSync(file, good.replace("Europe/Lisbon", "Europe/Atlantis"));
      const response = await get("/");
      expect(response.status).toBe(500);
      const html = await response.text();
      expect(html).toContain("The almanac can&#39;t be read now".replace("&#39;", "'"));
      expect(html).toMatch(/workshop\.yaml line 1/);
      expect(html).not.toMatch(/at .*\.js:\d+/);
    } finally {
      writeFileSync(file, good);
    }
    expect((await get("/")).status).toBe(200);
  });
});

test("an empty store has a page that says what to type", async () => {
  const empty = emptyFolder();
  await almanac(empty.path, ["init"]);
  const running = await served(empty.path, ["serve"]);
  try {
    const response = await fetch(running.address);
    expect(response.status).toBe(200);
    const html = await response.text();
    expect(html).toContain("No line has been read yet");
    expect(html).not.toContain("<figure");
  } finally {
    running.child.kill();
    await running.ended;
    empty.remove();
  }
});
