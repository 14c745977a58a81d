// From nothing to a workshop file over the web, as the Setup leaf does it: log, profile, machines, hours, and back again.
import { existsSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { largestUpload, tidyName } from "../../dashboard/setup/uploads.ts";
import { loadWorkshop } from "../../shared/index.ts";
import { Browser, type House, openHouse } from "../access/house.ts";

const log = `When;Unit;Action;Card\n${Array.from({ length: 40 }, (_, at) => {
  const day = String(13 + Math.floor(at / 4)).padStart(2, "0");
  return `${day}/03/2025 ${18 + (at % 4)}:0${at % 10}:00;0${1 + (Math.floor(at / 2) % 2)};${at % 2 ? "OUT" : "IN"};77${at % 3}`;
}).join("\n")}\nnonsense;01;IN;771\n`;

let house: House;
let browser: Browser;
let file: string;

beforeAll(async () => {
  house = await openHouse();
  file = join(house.folder, "workshop.yaml");
  rmSync(file);
  browser = new Browser(house.address);
});
afterAll(() => house?.close());

const json = { "content-type": "application/json", accept: "application/json" };
const send = (path: string, body: unknown) =>
  browser.ask("POST", `/api/v1/setup/${path}`, { headers: json, body: JSON.stringify(body) });
const shown = async () => (await browser.get("/api/v1/setup", { accept: "application/json" })).json;
const dropped = (name = "door%20log.csv", body = log, headers: Record<string, string> = {}) =>
  browser.ask("POST", `/api/v1/setup/log?name=${name}`, {
    headers: { "content-type": "application/octet-stream", ...headers },
    body,
  });

describe("a first run", () => {
  test("without a file every leaf leads to Setup, and none fails", async () => {
    for (const path of ["/", "/service", "/log"]) {
      const page = await browser.get(path, { accept: "text/html" });
      expect(page.status).toBe(200);
      expect(page.text).toContain("The almanac is not set up yet");
    }
    const page = await browser.get("/setup", { accept: "text/html" });
    expect(page.text).toContain("There is no workshop file yet.");
    expect(await shown()).toMatchObject({ state: "none", mark: null, problems: [], kept: [] });
    expect((await browser.get("/api/v1/hours", { accept: "application/json" })).status).toBe(400);
    expect(house.logged).toEqual([]);
  });

  test("what is no log is told so", async () => {
    const { json: upload } = await dropped("poem.txt", "roses are red\nviolets are blue\n");
    expect((await send("look", { upload: upload.upload })).json).toMatchObject({ log: false, why: expect.any(String) });
  });

  test("a log is dropped, looked at, its reading mended, and read; a file that can be read is written", async () => {
    const { json: upload } = await dropped();
    expect(upload).toMatchObject({ name: "door log.csv", bytes: Buffer.byteLength(log) });
    const looked = (await send("look", { upload: upload.upload })).json;
    expect(looked).toMatchObject({ log: true, lines: 41, stored: 40, rejected: 1, rejects: [{ line: 42 }] });
    expect(looked.rows[0]).toMatchObject({ local: "2025-03-13 18:00:00", station: "01", event: "enable", badge: "770" });
    const broken = await send("look", { upload: upload.upload, profile: looked.profile.replace("format: csv", "format: cvs") });
    expect([broken.status, broken.json.detail]).toEqual([
      400,
      expect.stringMatching(/profile.yaml line \d+: format "cvs": expected one of csv/),
    ]);

    const nameless = await send("read", { upload: upload.upload, profile: looked.profile, name: " ", zone: "Europe/Lisbon" });
    expect([nameless.status, existsSync(file)]).toEqual([400, false]);
    const zoneless = await send("read", {
      upload: upload.upload,
      profile: looked.profile,
      name: "Quarry",
      zone: "Europe/Lisboa",
    });
    expect([zoneless.status, zoneless.json.detail, existsSync(file)]).toEqual([
      400,
      expect.stringContaining("did you mean Europe/Lisbon?"),
      false,
    ]);

    const read = await send("read", {
      upload: upload.upload,
      profile: looked.profile,
      name: 'Quarry "Street": no',
      zone: "Europe/Lisbon",
      currency: "EUR",
    });
    expect(read.json).toMatchObject({
      files: [{ file: "door log.csv", lines: 41, stored: 40, rejected: 1 }],
      written: ["profile.yaml", "workshop.yaml"],
    });
    expect(loadWorkshop(file).workshop.workshop).toMatchObject({
      name: 'Quarry "Street": no',
      zone: "Europe/Lisbon",
      currency: "EUR",
    });
    expect(readFileSync(file, "utf8")).toMatch(/^# The workshop file/);
    expect((await send("look", { upload: upload.upload })).status).toBe(400);
    expect((await shown()).stations.map(({ station }: { station: string }) => station)).toEqual(["01", "02"]);
    expect((await browser.get("/", { accept: "text/html" })).text).toContain("Today at the workshop");
  });

  test("the same log again changes nothing, read by the workshop's own profile", async () => {
    const { json: upload } = await dropped();
    expect((await send("look", { upload: upload.upload })).json).toMatchObject({ isOwn: true, questions: [] });
    expect((await send("read", { upload: upload.upload })).json).toMatchObject({
      files: [{ stored: 0, duplicates: 40, rejected: 1 }],
      written: [],
    });
  });
});

describe("a change", () => {
  const machine = (station: string, id = "planer") => ({
    path: ["machines", 0],
    value: { id, name: "Planer", stations: [{ station }] },
  });

  test("is looked over first and written only when accepted; its stations find their machine", async () => {
    const { mark, text } = await shown();
    const looked = (await send("change", { mark, edits: [machine("01")] })).json;
    expect(looked).toMatchObject({ isWritten: false, problems: [], mark });
    expect(
      looked.changes
        .flat()
        .filter(({ sign }: { sign: string }) => sign === "+")
        .map((line: { text: string }) => line.text),
    ).toEqual(["machines:", "  - id: planer", "    name: Planer", "    stations: [{station: 01}]"]);
    expect(readFileSync(file, "utf8")).toBe(text);
    const written = (await send("change", { mark, edits: [machine("01")], accept: true })).json;
    expect(written).toMatchObject({ isWritten: true });
    const now = await shown();
    expect(now).toMatchObject({
      state: "sound",
      mark: written.mark,
      stations: [{ station: "02" }],
      kept: [{ file: "workshop.yaml" }],
    });
    const hours = (await browser.get("/api/v1/hours", { accept: "application/json" })).json;
    expect(hours.rows.map((row: { machine: string }) => row.machine)).toEqual(["planer", "station:02"]);
  });

  test("with a problem is told in the words of check, and never written", async () => {
    const { mark, text } = await shown();
    const edits = [{ path: ["machines", 0, "hazard"], value: "hihg" }];
    const answer = (await send("change", { mark, edits, accept: true })).json;
    expect(answer).toMatchObject({
      isWritten: false,
      problems: [{ file: "workshop.yaml", path: "machines[0].hazard", value: "hihg", expected: "high, medium or low" }],
    });
    expect(readFileSync(file, "utf8")).toBe(text);
  });

  test("on a file that somebody else changed meanwhile is refused", async () => {
    const { mark, text } = await shown();
    writeFileSync(file, `${text}# by hand\n`);
    const answer = await send("change", { mark, edits: [machine("02", "other")], accept: true });
    expect([answer.status, answer.json.detail]).toEqual([400, expect.stringContaining("was changed meanwhile")]);
    expect(readFileSync(file, "utf8")).toBe(`${text}# by hand\n`);
  });

  test("is undone by putting the version before it back, and that again", async () => {
    const { mark, kept, text } = await shown();
    const back = (await send("change", { mark, version: kept[0].version, accept: true })).json;
    expect(back.isWritten).toBe(true);
    expect(readFileSync(file, "utf8")).not.toContain("planer");
    const then = await shown();
    expect(then.kept).toHaveLength(2);
    await send("change", { mark: then.mark, version: then.kept[0].version, accept: true });
    expect(readFileSync(file, "utf8")).toBe(text);
    expect((await send("change", { mark: then.mark, version: "../workshop.yaml" })).status).toBe(400);
    const { mark: now } = await shown();
    expect((await send("change", { mark: now, version: "../../etc/passwd" })).status).toBe(400);
  });

  test("leaves nothing half written beside the file", () => {
    expect(readdirSync(house.folder).filter((name) => name.startsWith("workshop.yaml"))).toEqual(["workshop.yaml"]);
  });

  test("of a file with problems: Setup still opens and says them, the text can be mended there", async () => {
    const { text } = await shown();
    writeFileSync(file, text.replace("zone: Europe/Lisbon", "zone: Nowhere"));
    const page = await browser.get("/setup", { accept: "text/html" });
    expect([page.status, page.text.includes("The workshop file needs mending")]).toEqual([200, true]);
    const faulty = await shown();
    expect(faulty).toMatchObject({ state: "faulty", problems: [{ path: "workshop.zone" }] });
    const mended = await send("change", { mark: faulty.mark, text, accept: true });
    expect(mended.json.isWritten).toBe(true);
    expect((await shown()).state).toBe("sound");
  });

  test("is on the trail with its places, without what was typed", async () => {
    const rows = (await browser.get("/api/v1/trail", { accept: "application/json" })).json;
    expect(JSON.stringify(rows)).toMatch(/setup change/);
    expect(JSON.stringify(rows)).toMatch(/machines\.0/);
  });
});

describe("the door of the upload", () => {
  test("is shut to a page elsewhere, and to what is too large", async () => {
    expect((await dropped("x.csv", log, { "sec-fetch-site": "cross-site" })).status).toBe(403);
    const { request } = await import("node:http");
    const status = await new Promise((done, fail) => {
      const asked = request(`${house.address}/api/v1/setup/log?name=x`, {
        method: "POST",
        headers: { "content-length": String(largestUpload + 1) },
      });
      asked.on("response", (response) => done(response.statusCode)).on("error", fail);
      asked.flushHeaders();
    });
    expect(status).toBe(413);
  });

  test.each([
    ["../../etc/passwd", "passwd"],
    ["C:\\logs\\door.csv", "door.csv"],
    [".hidden", "hidden"],
    ["a\u0000b\u001b[31m.csv", "a_b__31m.csv"],
    ["", "log.csv"],
  ])("a name of %j is kept as %j", (name, kept) => {
    expect(tidyName(name)).toBe(kept);
  });
});
