// Events that come while the dashboard is open: posted with a token, dropped into a folder, published at a real broker.
import { appendFileSync, mkdirSync, writeFileSync } from "node:fs";
import type { AddressInfo } from "node:net";
import { createServer, type Server } from "node:net";
import { join } from "node:path";
import { Aedes } from "aedes";
import mqtt from "mqtt";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { almanac, emptyFolder, served } from "../support/almanac.ts";

const folder = emptyFolder();
let broker: Server;
let server: Awaited<ReturnType<typeof served>>;
let token: string;
let brokerUrl: string;

const event = (minute: number, kind: string, sequence: number): string =>
  JSON.stringify({
    time: new Date(Date.UTC(2025, 2, 3, 9, minute)).toISOString(),
    station: "21",
    event: kind,
    badge: "418",
    sequence,
  });

const sessionsKnown = async (): Promise<number> => {
  const response = await fetch(`${server.address}api/v1/sessions`);
  return ((await response.json()) as { sessions: unknown[] }).sessions.length;
};

async function soon(isSo: () => Promise<boolean>, seconds = 20): Promise<void> {
  for (const end = Date.now() + seconds * 1000; Date.now() < end; ) {
    if (await isSo()) return;
    await new Promise((done) => setTimeout(done, 100));
  }
  throw new Error(`not within ${seconds} s`);
}

beforeAll(async () => {
  const aedes = await Aedes.createBroker();
  broker = createServer(aedes.handle);
  await new Promise<void>((done) => broker.listen(0, "127.0.0.1", done));
  brokerUrl = `mqtt://127.0.0.1:${(broker.address() as AddressInfo).port}`;
  writeFileSync(
    join(folder.path, "workshop.yaml"),
    `workshop: {name: Heron Row Workshop, zone: Europe/Lisbon, currency: EUR, address_bits: 6}
privacy: {badges: kept}
machines: [{id: planer, name: Planer, hazard: high, stations: [{station: 21}]}]
watch: {folder: inbox, mqtt: {url: "${brokerUrl}", topic: stations/#}}
`,
  );
  mkdirSync(join(folder.path, "inbox"));
  token = (await almanac(folder.path, ["token", "add", "badge-server", "--purpose", "source", "--json"])).json.token;
  server = await served(folder.path, ["serve"]);
});
afterAll(async () => {
  server.child.kill("SIGTERM");
  await server.ended;
  broker.close();
  folder.remove();
});

const post = (body: string, headers: Record<string, string> = { authorization: `Bearer ${token}` }) =>
  fetch(`${server.address}api/v1/events`, {
    method: "POST",
    headers: { "content-type": "application/x-ndjson", ...headers },
    body,
  });

describe("posted events", () => {
  test("are counted like a file's lines; the same again are duplicates", async () => {
    const lines = [event(0, "enable", 1), event(30, "release", 2), "no JSON"].join("\n");
    const counts = { lines: 3, ignored: 0, blank: 0, rejected: 1, repaired: 0 };
    const first = (await (await post(lines)).json()) as { files: unknown[] };
    expect(first.files).toEqual([expect.objectContaining({ ...counts, stored: 2, duplicates: 0 })]);
    const again = (await (await post(lines)).json()) as { files: unknown[] };
    expect(again.files).toEqual([expect.objectContaining({ ...counts, stored: 0, duplicates: 2 })]);
    expect(await sessionsKnown()).toBe(1);
  });

  test("need a source's token", async () => {
    expect((await post(event(40, "enable", 9), {})).status).toBe(401);
    expect((await post(event(40, "enable", 9), { authorization: "Bearer wrong" })).status).toBe(401);
  });

  test("too much is 413, rubbish is 422, and the rest goes on", async () => {
    expect((await post("x".repeat(1_100_000))).status).toBe(413);
    const rubbish = await post("rubbish\nmore rubbish\n");
    expect(rubbish.status).toBe(422);
    expect(await rubbish.json()).toMatchObject({ error: { field: "body", expected: expect.stringMatching(/2 were rejected/) } });
    expect((await post(event(31, "boot", 3))).status).toBe(200);
  });

  test("an open page hears of them within two seconds", async () => {
    const stop = new AbortController();
    const stream = await fetch(`${server.address}api/v1/stream`, { signal: stop.signal });
    const reader = stream.body!.pipeThrough(new TextDecoderStream()).getReader();
    await reader.read();
    const sentAt = Date.now();
    await post([event(32, "enable", 4), event(33, "release", 5)].join("\n"));
    let heard = "";
    while (!heard.includes("event: change")) heard += (await reader.read()).value ?? "";
    expect(Date.now() - sentAt).toBeLessThan(2_000);
    stop.abort();
  });
});

test("a file dropped into the watched folder is read, and read on as it grows", async () => {
  const before = await sessionsKnown();
  const file = join(folder.path, "inbox", "evening.ndjson");
  writeFileSync(file, `${event(60, "enable", 11)}\n${event(90, "release", 12)}\n`);
  await soon(async () => (await sessionsKnown()) === before + 1);
  appendFileSync(file, `${event(100, "enable", 13)}\n${event(110, "release", 14)}\n`);
  await soon(async () => (await sessionsKnown()) === before + 2);
  expect(await sessionsKnown()).toBe(before + 2);
});

test("a message at the broker becomes an event", async () => {
  const before = await sessionsKnown();
  const client = await mqtt.connectAsync(brokerUrl);
  await client.publishAsync("stations/21", event(120, "enable", 15), { qos: 1 });
  await client.publishAsync("stations/21", event(130, "release", 16), { qos: 1 });
  await soon(async () => (await sessionsKnown()) === before + 1);
  await client.endAsync();
  expect(await sessionsKnown()).toBe(before + 1);
});
