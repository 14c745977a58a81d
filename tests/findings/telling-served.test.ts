// From a station's line to the message: a motor that turns without a badge is told within the minute by the built server.
import { writeFileSync } from "node:fs";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { join } from "node:path";
import { expect, test } from "vitest";
import { almanac, emptyFolder, served } from "../support/almanac.ts";

test("within sixty seconds of the event, and once", async () => {
  const folder = emptyFolder();
  const got: { at: number; body: string }[] = [];
  const receiver = createServer((request, response) => {
    let body = "";
    request.on("data", (part) => {
      body += part;
    });
    request.on("end", () => {
      got.push({ at: Date.now(), body });
      response.writeHead(204).end();
    });
  });
  await new Promise<void>((done) => receiver.listen(0, "127.0.0.1", done));
  writeFileSync(
    join(folder.path, "workshop.yaml"),
    `workshop: {name: Dunlin Yard, zone: Europe/Lisbon}
machines: [{id: planer, name: Planer, hazard: high, stations: [{station: "21"}]}]
watch: {webhook: {url: "http://127.0.0.1:${(receiver.address() as AddressInfo).port}/hook"}}
`,
  );
  const { json } = await almanac(folder.path, ["token", "add", "badge-server", "--purpose", "source", "--json"]);
  const server = await served(folder.path, ["serve"]);
  const send = async (lines: object[]) => {
    const body = lines.map((line) => JSON.stringify(line)).join("\n");
    const headers = { authorization: `Bearer ${json.token}` };
    const response = await fetch(`${server.address}api/v1/events`, { method: "POST", headers, body });
    expect(response.status).toBe(200);
  };
  try {
    const began = Date.now();
    const line = (secondsAgo: number, event: string, sequence: number, badge?: string) => ({
      time: new Date(began - secondsAgo * 1000).toISOString(),
      station: "21",
      event,
      sequence,
      ...(badge === undefined ? {} : { badge }),
    });
    await send([line(600, "enable", 1, "7"), line(300, "release", 2, "7")]);
    await send([line(0, "motor-on", 3)]);
    await expect.poll(() => got.length, { timeout: 60_000, interval: 100 }).toBe(1);
    expect(got[0]!.at - began).toBeLessThan(60_000);
    expect(JSON.parse(got[0]!.body)).toMatchObject({ rule: "motor-without-session", severity: "grave", machine: "planer" });
    await send([line(-1, "motor-off", 4)]);
    await new Promise((done) => setTimeout(done, 2_000));
    expect(got.length).toBe(1);
  } finally {
    server.child.kill("SIGTERM");
    await server.ended;
    await new Promise((done) => receiver.close(done));
    folder.remove();
  }
}, 120_000);
