// Live sources: a watched folder and a real broker, through the same path and the same accounting.
import { appendFileSync, mkdirSync, renameSync, writeFileSync } from "node:fs";
import { type AddressInfo, createServer } from "node:net";
import { join } from "node:path";
import { Aedes } from "aedes";
import mqtt from "mqtt";
import { expect, test } from "vitest";
import { type Account, ingestBatch, ingestFile, subscribeMqtt, watchFolder } from "../../ingest/index.ts";
import { inTransaction } from "../../shared/store.ts";
import { house, openBench, profileOf, rows } from "./logs.ts";

/** Waits until something holds. */
async function until(holds: () => boolean | Promise<boolean>): Promise<void> {
  for (let tries = 0; tries < 400; tries++) {
    if (await holds()) return;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  throw new Error("it never came to hold");
}

const how = { zone: "UTC", storedBadge: (badge: string) => badge };

test("files that come into a watched folder, and grow there, are read; half a line waits", async () => {
  const bench = await openBench();
  const folder = join(bench.folder, "inbox");
  mkdirSync(folder);
  writeFileSync(join(folder, "old.csv"), "time,station,event\n2025-01-04 09:00:00,1,enable\n");
  const accounts: Account[] = [];
  const errors: unknown[] = [];
  const live = watchFolder({
    folder,
    everyMs: 100,
    restMs: 600,
    deliver: async ({ name, path, isGrowing }) => {
      accounts.push(
        await inTransaction(bench.connection, () =>
          ingestFile(bench.connection, { ...how, name, path, isGrowing, profile: house, workDir: bench.store.workDir }),
        ),
      );
    },
    onError: (error) => errors.push(error),
  });
  const stored = (): number => accounts.reduce((total, account) => total + account.stored, 0);
  await live.ready;
  await until(() => stored() === 1);
  const log = join(folder, "log.csv");
  writeFileSync(join(folder, "log.csv.part"), "time,station,event\n2025-01-04 10:00:00,1,enable\n2025-01-04 10:30:00,1,rele");
  renameSync(join(folder, "log.csv.part"), log);
  await until(() => stored() === 2);
  appendFileSync(log, "ase\n2025-01-04 11:00:00,1,enable");
  await until(() => stored() === 4);
  writeFileSync(join(folder, "rubbish.csv"), "no log\n");
  await until(() => errors.length > 0);
  await live.close();
  expect(accounts.every(({ rejected }) => rejected === 0)).toBe(true);
  expect(await rows(bench, "SELECT count(*)::int AS n FROM event")).toEqual([{ n: 4 }]);
  bench.close();
});

test("messages of a broker are mapped by topic and payload, and a flood is refused with why while the rest goes on", async () => {
  const bench = await openBench();
  const broker = await Aedes.createBroker();
  const server = createServer(broker.handle);
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  const url = `mqtt://127.0.0.1:${(server.address() as AddressInfo).port}`;
  const profile = profileOf(
    "profile: bus\nformat: ndjson\nfields:\n  time: {arrival: true}\n  station: {topic: 2}\n  event: {topic: 3, map: {in: enable, out: release}}\n  badge: {payload: true}\n",
  );
  const accounts: Account[] = [];
  const refused: { topic: string; messages: number; reason: string }[] = [];
  const live = subscribeMqtt({
    url,
    topic: "shop/#",
    clientId: "almanac-test",
    limits: { messageBytes: 100, perTopicAndMinute: 5, everyMs: 20 },
    deliver: async (batch) => {
      refused.push(...batch.refused);
      if (batch.lines.length === 0) return;
      accounts.push(
        await inTransaction(bench.connection, () =>
          ingestBatch(bench.connection, { ...how, name: "mqtt", lines: batch.lines, profile, workDir: bench.store.workDir }),
        ),
      );
    },
    onError: (error) => {
      throw error;
    },
  });
  await live.ready;
  const sender = await mqtt.connectAsync(url);
  await sender.publishAsync("shop/21/in", "00417", { qos: 1 });
  await sender.publishAsync("shop/21/out", "00417", { qos: 1 });
  await sender.publishAsync("shop/21/jump", "00417", { qos: 1 });
  await sender.publishAsync("shop/22/in", "x".repeat(200), { qos: 1 });
  for (let index = 0; index < 8; index++) await sender.publishAsync("shop/23/in", String(index), { qos: 1 });
  await until(() => accounts.reduce((total, { lines }) => total + lines, 0) === 8);
  await until(() => refused.length >= 2);
  await sender.endAsync();
  await live.close();
  await new Promise<void>((resolve) => broker.close(() => server.close(() => resolve())));
  expect(await rows(bench, "SELECT station, kind, badge FROM event WHERE station = '21' ORDER BY line")).toEqual([
    { station: "21", kind: "enable", badge: "00417" },
    { station: "21", kind: "release", badge: "00417" },
  ]);
  expect(accounts.reduce((total, { rejected }) => total + rejected, 0)).toBe(1);
  const total = (topic: string): number =>
    refused.filter((one) => one.topic === topic).reduce((sum, { messages }) => sum + messages, 0);
  expect([total("shop/22/in"), total("shop/23/in")]).toEqual([1, 3]);
  bench.close();
});
