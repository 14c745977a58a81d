// Grave findings go out once, signed, by webhook and by mail, and again after a failure; what is old goes nowhere.
import { createHmac } from "node:crypto";
import { writeFileSync } from "node:fs";
import { createServer, type IncomingMessage, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { join } from "node:path";
import { afterEach, describe, expect, test } from "vitest";
import { startTelling, type Teller, type TellerSettings } from "../../dashboard/telling/teller.ts";
import type { Bench } from "../service/shop.ts";
import { type MailServer, mailServer as startMailServer } from "../support/mail-server.ts";
import { at, openShop } from "./shop.ts";

/** The sensor saw the planer turn for two minutes on Tuesday night, and nobody had enabled it; counters are whole. */
const motorLines = [
  "mon 09:00,21,enable,7,1",
  "mon 09:10,21,release,7,2",
  "tue 02:00,21,motor-on,,3",
  "tue 02:02,21,motor-off,,4",
];

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

interface Got {
  headers: IncomingMessage["headers"];
  body: string;
}

/** A receiver that answers with the given codes in turn, then 204. */
async function receiver(codes: number[] = []): Promise<{ url: string; got: Got[] }> {
  const got: Got[] = [];
  const server: Server = createServer((request, response) => {
    let body = "";
    request.on("data", (part) => {
      body += part;
    });
    request.on("end", () => {
      got.push({ headers: request.headers, body });
      const code = codes.shift() ?? 204;
      response.writeHead(code, code === 307 ? { location: "http://127.0.0.1:9/elsewhere" } : {}).end();
    });
  });
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  closers.push(() => new Promise((done) => server.close(done)));
  return { url: `http://127.0.0.1:${(server.address() as AddressInfo).port}/hook`, got };
}

async function mailServer(): Promise<MailServer> {
  const server = await startMailServer();
  closers.push(server.close);
  return server;
}

async function shopThatTells(watch: string): Promise<Bench> {
  const bench = await openShop(motorLines, { workshop: `watch: ${watch}\n` });
  closers.push(() => bench.close());
  writeFileSync(join(bench.dir, "hook.key"), "spindle\n");
  return bench;
}

function teller(bench: Bench, more: Partial<TellerSettings> = {}): Teller & { lines: string[] } {
  const lines: string[] = [];
  const started = startTelling({
    store: bench.holder.store,
    workshop: join(bench.dir, "workshop.yaml"),
    log: (line) => lines.push(line),
    now: () => new Date(at("tue 02:03")),
    ...more,
  });
  closers.push(() => started.close());
  return { ...started, lines };
}

const told = async (bench: Bench): Promise<Record<string, unknown>[]> => {
  const connection = await bench.holder.store.connect();
  try {
    const reader = await connection.runAndReadAll("SELECT channel, tries::int AS tries, sent_at, problem FROM finding_told");
    return reader.getRowObjectsJson() as Record<string, unknown>[];
  } finally {
    connection.closeSync();
  }
};

describe("telling", () => {
  test("a motor that turned by itself is told at once, signed, with what this is not; never twice", async () => {
    const { url, got } = await receiver();
    const bench = await shopThatTells(`{webhook: {url: "${url}", secret_file: hook.key}}`);
    const first = teller(bench);
    first.afterDelivery({ from: new Date(at("tue 02:00")), until: new Date(at("tue 02:02")) });
    await first.settled();
    await first.close();
    const second = teller(bench);
    second.afterDelivery({ from: new Date(at("tue 02:00")), until: new Date(at("tue 02:02")) });
    await second.settled();
    expect(got.length).toBe(1);
    const { headers, body } = got[0]!;
    const message = JSON.parse(body);
    expect(message).toMatchObject({ rule: "motor-without-session", severity: "grave", machine: "planer", machineName: "Planer" });
    expect(message.notice).toMatch(/not an alarm system/);
    expect(message.from).toBe(at("tue 02:00"));
    const signed = createHmac("sha256", "spindle").update(`${headers["almanac-time"]}.${body}`).digest("hex");
    expect(headers["almanac-signature"]).toBe(`sha256=${signed}`);
    expect(headers["almanac-finding"]).toBe(message.id);
  });

  test("two that look at one time send it once", async () => {
    const { url, got } = await receiver();
    const bench = await shopThatTells(`{webhook: {url: "${url}"}}`);
    const both = [teller(bench), teller(bench)];
    await Promise.all(both.map((one) => one.settled()));
    expect(got.length).toBe(1);
    expect(got[0]!.headers["almanac-signature"]).toBeUndefined();
  });

  test("a receiver that fails is tried again later; a redirect is a failure, and is not followed", async () => {
    const { url, got } = await receiver([500, 307]);
    const bench = await shopThatTells(`{webhook: {url: "${url}", secret_file: hook.key}}`);
    const one = teller(bench, { firstRetryMs: 0 });
    await expect.poll(() => got.length, { timeout: 5_000 }).toBe(3);
    await one.settled();
    await expect.poll(async () => (await told(bench))[0]!.sent_at, { timeout: 5_000 }).not.toBeNull();
    expect(await told(bench)).toMatchObject([{ channel: "webhook", tries: 3, problem: null }]);
    expect(one.lines.join("\n")).toMatch(/answered 500; again/);
    expect(one.lines.join("\n")).toMatch(/answered 307; again/);
    expect(new Set(got.map(({ body }) => body)).size).toBe(1);
  });

  test("what was being sent when the process died is not sent again, and the log says so", async () => {
    const { url, got } = await receiver();
    const bench = await shopThatTells(`{webhook: {url: "${url}"}}`);
    let arrive: () => void = () => undefined;
    const dying = teller(bench, { post: () => new Promise((done) => (arrive = done)) });
    await expect.poll(async () => (await told(bench))[0]?.tries, { timeout: 5_000 }).toBe(1);
    const next = teller(bench);
    await next.settled();
    expect(got.length).toBe(0);
    expect(next.lines.join("\n")).toMatch(/may or may not have arrived; not sent again/);
    arrive();
    await dying.settled();
  });

  test("a log that is read days later tells nobody", async () => {
    const { url, got } = await receiver();
    const bench = await shopThatTells(`{webhook: {url: "${url}"}}`);
    const late = teller(bench, { now: () => new Date(at("thu 09:00")) });
    late.afterDelivery({ from: new Date(at("tue 02:00")), until: new Date(at("tue 02:02")) });
    await late.settled();
    expect(got.length).toBe(0);
    expect(await told(bench)).toEqual([]);
  });

  test("what was reviewed already is not told", async () => {
    const { url, got } = await receiver();
    const bench = await shopThatTells(`{webhook: {url: "${url}"}}`);
    const [finding] = (await bench.run("findings", { rule: "motor-without-session" })).findings;
    await bench.run("review", { id: finding.id, state: "explained", note: "sensor on the bench" });
    await teller(bench).settled();
    expect(got.length).toBe(0);
  });

  test("mail says what, where, when, and what this is not; no badge, no name", async () => {
    const { url, mails } = await mailServer();
    const bench = await shopThatTells(`{mail: {smtp: "${url}", to: [safety@dunlin.invalid], from: almanac@dunlin.invalid}}`);
    const one = teller(bench);
    await one.settled();
    expect(mails.length).toBe(1);
    const plain = mails[0]!.replaceAll("=\r\n", "").replaceAll(/\r\n /g, " ");
    expect(plain).toMatch(/^Subject: Dunlin Yard: a motor turned though no badge had enabled it \(Planer\)/m);
    expect(plain).toMatch(/^To: safety@dunlin\.invalid/m);
    expect(plain).toMatch(/This is not an alarm system/);
    expect(plain).toMatch(/isolate and lock out at the isolator/);
    expect(plain).not.toMatch(/badge 7|\bsafe\b|\boff\b/);
    expect(await told(bench)).toMatchObject([{ channel: "mail", tries: 1, problem: null }]);
  });
});
