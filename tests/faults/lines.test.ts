// Lines that break off and readers that come and go for hours.
import { request } from "node:http";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { issueToken } from "../../dashboard/access/tokens.ts";
import { inTurn, look } from "../../dashboard/access/turn.ts";
import { type House, openHouse } from "../access/house.ts";

let house: House;
let token: string;
beforeAll(async () => {
  house = await openHouse();
  token = await inTurn(house.store, async (connection) => {
    const issued = await issueToken(connection, { purpose: "source", name: "shed", by: "a test" }, new Date());
    return issued.secret;
  });
});
afterAll(() => house.close());

const events = async (): Promise<number> =>
  look(house.store, async (connection) =>
    Number((await connection.runAndReadAll("SELECT count(*)::int FROM event")).getRows()[0]?.[0]),
  );

describe("a source", () => {
  const lines = Array.from({ length: 20 }, (_, i) =>
    JSON.stringify({
      time: new Date(Date.UTC(2025, 5, 1, 9, i)).toISOString(),
      station: "21",
      event: i % 2 ? "release" : "enable",
      badge: "7",
    }),
  );
  const body = `${lines.join("\n")}\n`;

  /** Sends so many bytes of the whole and hangs up. */
  const dropAfter = (bytes: number): Promise<void> =>
    new Promise((done) => {
      const sending = request(`${house.address}/api/v1/events`, {
        method: "POST",
        headers: {
          authorization: `Bearer ${token}`,
          "content-type": "application/x-ndjson",
          "content-length": Buffer.byteLength(body),
        },
      });
      sending.on("error", () => done());
      sending.on("close", () => done());
      sending.write(body.slice(0, bytes));
      setTimeout(() => sending.destroy(), 50);
    });

  test("that drops in the middle of a line has nothing stored, and everything once when it sends again", async () => {
    for (const share of [0.1, 0.5, 0.95]) await dropAfter(Math.floor(body.length * share));
    expect(await events()).toBe(0);
    const send = async () => {
      const response = await fetch(`${house.address}/api/v1/events`, {
        method: "POST",
        headers: { authorization: `Bearer ${token}`, "content-type": "application/x-ndjson" },
        body,
      });
      return ((await response.json()) as { files: { stored: number; duplicates: number }[] }).files[0];
    };
    expect(await send()).toMatchObject({ stored: 20, duplicates: 0 });
    expect(await send()).toMatchObject({ stored: 0, duplicates: 20 });
    expect(await events()).toBe(20);
  });
});

describe("a browser", () => {
  test("that comes back a thousand times leaves nothing behind", async () => {
    const handles = () => {
      const kinds: Record<string, number> = {};
      for (const kind of process.getActiveResourcesInfo()) kinds[kind] = (kinds[kind] ?? 0) + 1;
      return kinds;
    };
    const visit = async () => {
      const stop = new AbortController();
      const response = await fetch(`${house.address}/api/v1/stream`, { signal: stop.signal });
      const { status } = response;
      stop.abort();
      await response.body?.cancel().catch(() => undefined);
      return status;
    };
    const page = async () => (await fetch(`${house.address}/sign-in`)).status;
    for (let i = 0; i < 20; i++) await Promise.all([visit(), page()]);
    await new Promise((done) => setTimeout(done, 200));
    const before = handles();
    const statuses = new Set<number>();
    // Within the rate that one reader may ask in.
    for (let i = 0; i < 500; i++) {
      statuses.add(await visit());
      statuses.add(await page());
    }
    await new Promise((done) => setTimeout(done, 500));
    const after = handles();
    expect([...statuses]).toEqual([200]);
    expect((after.Timeout ?? 0) - (before.Timeout ?? 0)).toBeLessThan(20);
    expect((after.TCPSocketWrap ?? 0) - (before.TCPSocketWrap ?? 0)).toBeLessThan(20);
  }, 120_000);
});
