// The same answers over the web: forms, errors, live changes, and names the server answers to.
import { request as httpRequest } from "node:http";
import { tableFromIPC } from "apache-arrow";
import { parse } from "csv-parse/sync";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { almanac, emptyFolder, served } from "../support/almanac.ts";
import { writeShop } from "../support/shop.ts";

const folder = emptyFolder();
let server: Awaited<ReturnType<typeof served>>;
const get = (path: string, headers: Record<string, string> = {}) => fetch(`${server.address}api/v1/${path}`, { headers });
const asOf = "as-of=2025-04-15T00:00:00Z";

beforeAll(async () => {
  writeShop(folder.path);
  await almanac(folder.path, ["ingest", "log.csv"]);
  server = await served(folder.path, ["serve"]);
});
afterAll(async () => {
  server.child.kill("SIGTERM");
  await server.ended;
  folder.remove();
});

describe("answers", () => {
  test("JSON is the command line's", async () => {
    const typed = await almanac(folder.path, ["hours", "--by", "week", "--as-of", "2025-04-15T00:00:00Z", "--json"]);
    expect(await (await get(`hours?by=week&${asOf}`)).json()).toEqual(typed.json);
  });

  test("CSV and Arrow have the list flat, its names as in JSON", async () => {
    const { rows } = (await (await get(`hours?by=day&${asOf}`)).json()) as {
      rows: { machine: string; runHours: { best: number } }[];
    };
    const csv = await get(`hours?by=day&${asOf}`, { accept: "text/csv" });
    expect(csv.headers.get("content-type")).toMatch(/^text\/csv/);
    const lines: Record<string, string>[] = parse(await csv.text(), { columns: true });
    expect(lines.map((line) => [line.machine, Number(line.runHours_best)])).toEqual(
      rows.map((row) => [row.machine, row.runHours.best]),
    );
    const arrow = await get(`hours?by=day&${asOf}`, { accept: "application/vnd.apache.arrow.stream" });
    const table = tableFromIPC(new Uint8Array(await arrow.arrayBuffer()));
    expect(table.numRows).toBe(rows.length);
    expect([...(table.getChild("runHours_best") ?? [])]).toEqual(rows.map((row) => row.runHours.best));
  });

  test("pages ask as of now", async () => {
    const { asOf: seenFrom } = (await (await get("hours")).json()) as { asOf: string };
    expect(Math.abs(Date.now() - Date.parse(seenFrom))).toBeLessThan(60_000);
  });

  test("a statistic takes its figures as JSON", async () => {
    const response = await fetch(`${server.address}api/v1/calc/erlang-b`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ servers: 1, load: 1 }),
    });
    expect(await response.json()).toEqual({ probability: 0.5 });
  });
});

describe("errors are problem details", () => {
  test.each([
    ["hours?by=fortnight", 400, "by"],
    ["hours?store=/etc/passwd", 400, "store"],
    ["hours?workshop=/etc/passwd", 400, "workshop"],
    ["hours?colour=red", 400, "colour"],
    ["hours?since=yesterweek", 400, "since"],
    ["ours", 404, "command"],
    ["ingest?files=x", 404, "command"],
  ])("%s: %i", async (path, status, field) => {
    const response = await get(path);
    expect(response.status).toBe(status);
    expect(response.headers.get("content-type")).toMatch(/^application\/problem\+json/);
    expect(await response.json()).toMatchObject({ status, error: { field } });
  });

  test("another method: 405 and what would do", async () => {
    const response = await fetch(`${server.address}api/v1/hours`, { method: "DELETE" });
    expect({ status: response.status, allow: response.headers.get("allow") }).toEqual({ status: 405, allow: "GET" });
  });

  test("a body that is no JSON: 400, one that is too large: 413", async () => {
    const post = (body: string) =>
      fetch(`${server.address}api/v1/calc/erlang-b`, { method: "POST", headers: { "content-type": "application/json" }, body });
    expect((await post("{servers")).status).toBe(400);
    expect((await post(`{"x":"${"x".repeat(1_100_000)}"}`)).status).toBe(413);
  });
});

describe("at the door", () => {
  const askedAs = (host: string): Promise<number> =>
    new Promise((done, fail) => {
      const { port } = new URL(server.address);
      httpRequest({ host: "127.0.0.1", port, path: "/api/v1/hours", headers: { host } }, (response) =>
        done(response.statusCode ?? 0),
      )
        .on("error", fail)
        .end();
    });

  test("only loopback's own names are answered to", async () => {
    expect(await askedAs("localhost:80")).toBe(200);
    expect(await askedAs("[::1]")).toBe(200);
    for (const host of ["evil.example", "127.0.0.1.evil.example", "localhost.evil.example", "evil.example:80"])
      expect(await askedAs(host)).not.toBe(200);
  });

  test("pages allow no inline script and no other origin", async () => {
    const page = await fetch(server.address);
    const policy = page.headers.get("content-security-policy") ?? "";
    expect(policy).toMatch(/script-src 'self'(;|$)/);
    expect(policy).toMatch(/style-src 'self'(;|$)/);
    expect(policy).toMatch(/frame-ancestors 'none'/);
    expect(page.headers.get("x-powered-by")).toBeNull();
  });
});

test("an open page hears of new lines within two seconds", async () => {
  const stop = new AbortController();
  const stream = await fetch(`${server.address}api/v1/stream`, { signal: stop.signal });
  const reader = stream.body!.pipeThrough(new TextDecoderStream()).getReader();
  await reader.read();
  const ingested = almanac(folder.path, ["ingest", "log.csv"]);
  let heard = "";
  while (!heard.includes("event: change")) heard += (await reader.read()).value ?? "";
  const heardAt = Date.now();
  await ingested;
  expect(Date.now() - heardAt).toBeLessThan(2_000);
  expect(heard).toMatch(/"kind":"store"/);
  stop.abort();
});
