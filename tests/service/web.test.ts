// Ticks over the web: once, however often they are sent; the second volunteer is told.
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { commands } from "../../dashboard/commands/index.ts";
import { type Served, serve } from "../../dashboard/server/serve.ts";
import { emptyFolder } from "../support/almanac.ts";
import { workshopText } from "./shop.ts";

const folder = emptyFolder();
let server: Served;
beforeAll(async () => {
  const workshop = join(folder.path, "workshop.yaml");
  writeFileSync(workshop, workshopText);
  server = await serve({
    store: join(folder.path, "almanac.duckdb"),
    commands,
    workshop,
    port: 0,
    exposure: { host: "127.0.0.1", tls: null, proxy: null, proxyFrom: [], names: [] },
    log: () => undefined,
  });
});
afterAll(async () => {
  await server.close();
  folder.remove();
});

const post = async (path: string, body: unknown) => {
  const response = await fetch(`${server.address}api/v1/${path}`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  });
  // biome-ignore lint/suspicious/noExplicitAny: answers are checked by the assertions that read them
  return { status: response.status, json: (await response.json()) as any };
};
const get = async (path: string) => (await fetch(`${server.address}api/v1/${path}`)).json() as Promise<{ services: unknown[] }>;

test("a tick that is sent thrice at once arrives once; another's is a conflict that carries it", async () => {
  const tick = { machine: "planer", task: "sharpen", found: "worn", reading: { gap: 2.5 }, key: "phone-1-tick-7" };
  const answers = await Promise.all([post("service", tick), post("service", tick), post("service", tick)]);
  expect(answers.map(({ status }) => status)).toEqual([200, 200, 200]);
  expect(new Set(answers.map(({ json }) => json.services[0].id)).size).toBe(1);
  const other = await post("service", { ...tick, key: "phone-2-tick-1", found: "good" });
  expect(other.status).toBe(409);
  expect(other.json.service).toMatchObject({ machine: "planer", part: "knives", found: "worn", readings: { gap: 2.5 } });
  expect((await get("service")).services).toHaveLength(1);
  const undone = await post(`service/${other.json.service.id}/undo`, {});
  expect(undone.json.services[0].undone).toBe(true);
  expect((await post("service", { ...tick, key: "phone-2-tick-2" })).status).toBe(200);
});

test("without a word of how it was found nothing is stored", async () => {
  const { status, json } = await post("service", { machine: "planer", task: "sharpen" });
  expect([status, json.error.field]).toEqual([400, "found"]);
});
