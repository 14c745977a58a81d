// Accounts, tokens and the trail as typed; how far `serve` may be heard; the way back for whoever holds the machine.
import { writeFileSync } from "node:fs";
import { request } from "node:https";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { almanac, emptyFolder, served } from "../support/almanac.ts";
import { writeShop } from "../support/shop.ts";
import { certificate } from "./certificate.ts";
import { Browser } from "./house.ts";

const folder = emptyFolder();
beforeAll(async () => {
  writeShop(folder.path);
  writeFileSync(join(folder.path, "cert.pem"), certificate.cert);
  writeFileSync(join(folder.path, "key.pem"), certificate.key);
  await almanac(folder.path, ["ingest", "log.csv"]);
});
afterAll(folder.remove);

const typed = (args: string[], input = "") => almanac(folder.path, args, input);
const password = "plum cart thistle nine";

describe("before there is any account", () => {
  test("serve is heard on this computer only", async () => {
    for (const far of [
      ["--host", "0.0.0.0"],
      ["--host", "0.0.0.0", "--cert", "cert.pem", "--key", "key.pem"],
      ["--proxy", "almanac.test"],
    ]) {
      const { code, err, out } = await typed(["serve", "--port", "0", ...far]);
      expect({ code, out }).toEqual({ code: 2, out: "" });
      expect(err).toMatch(/^(host "0\.0\.0\.0"|proxy "almanac\.test"): expected .*almanac account add NAME --role steward\n$/);
    }
  });

  test("the first account must be a steward's", async () => {
    const { code, json } = await typed(["account", "add", "ben", "--role", "board", "--json"]);
    expect(code).toBe(2);
    expect(json.error).toMatchObject({
      field: "role",
      value: "board",
      expected: expect.stringMatching(/^steward for the first account/),
    });
  });
});

describe("while the dashboard is open", () => {
  test("the first account, its password, a lost password: the server knows at once", async () => {
    const server = await served(folder.path, ["serve"]);
    try {
      const visitor = new Browser(server.address.slice(0, -1));
      expect((await visitor.get("/api/v1/sessions")).status).toBe(200);
      const added = await typed(["account", "add", "ann", "--role", "steward", "--json"]);
      expect(added.json).toEqual({ name: "ann", roles: ["steward"], link: expect.stringMatching(/^\/welcome\?code=[\w-]{43}$/) });
      expect((await visitor.get("/api/v1/sessions")).status).toBe(401);
      expect((await visitor.get(added.json.link)).text).toContain("Welcome, ann");

      expect(await typed(["account", "password", "ann", "--json"], "password1234\n")).toMatchObject({
        code: 2,
        json: { error: { field: "password", value: null } },
      });
      expect(await typed(["account", "password", "ann"], `${password}\n`)).toMatchObject({
        code: 0,
        out: "the password of ann is set\n",
      });
      expect((await visitor.get(added.json.link)).status).toBe(404);
      expect((await visitor.post("/sign-in", { name: "ann", password })).status).toBe(303);
      expect((await visitor.get("/api/v1/sessions")).json.sessions.length).toBeGreaterThan(10);

      const { json: recovered } = await typed(["account", "recover", "ann", "--json"]);
      expect((await visitor.get("/api/v1/sessions")).status).toBe(401);
      expect((await visitor.post("/sign-in", { name: "ann", password })).status).toBe(401);
      const fresh = "heron marble nineteen cups";
      expect((await visitor.post("/welcome", { code: recovered.link.split("=")[1], password: fresh, again: fresh })).status).toBe(
        303,
      );
      expect((await visitor.get("/api/v1/sessions")).status).toBe(200);
    } finally {
      server.child.kill("SIGTERM");
      await server.ended;
    }
    expect((await server.ended).out).toMatch(
      /^Workshop Almanac is open at http:\/\/127\.0\.0\.1:\d+\/ \(no accounts yet, so to this computer only\)\n$/,
    );
  });

  test("with a steward and a certificate it is heard beyond, in TLS, under the certificate's names, and cookies are Secure", async () => {
    expect((await typed(["serve", "--port", "0", "--host", "0.0.0.0"])).err).toMatch(/--cert FILE and --key FILE/);
    expect((await typed(["serve", "--port", "0", "--cert", "cert.pem"])).err).toMatch(/--cert FILE and --key FILE together/);
    const server = await served(folder.path, ["serve", "--host", "0.0.0.0", "--cert", "cert.pem", "--key", "key.pem"]);
    try {
      const port = Number(new URL(server.address).port);
      const ask = (host: string, method: string, path: string, form?: string) =>
        new Promise<{ status: number | undefined; cookies: string[]; strict: string | undefined }>((done, fail) => {
          const headers = { host, ...(form ? { "content-type": "application/x-www-form-urlencoded" } : {}) };
          const asked = request(
            { host: "127.0.0.1", port, path, method, headers, ca: certificate.cert, servername: "localhost" },
            (reply) => {
              const { "set-cookie": cookies = [], "strict-transport-security": strict } = reply.resume().headers;
              done({ status: reply.statusCode, cookies, strict });
            },
          );
          asked.on("error", fail).end(form);
        });
      expect(await ask("heron.test", "GET", "/sign-in")).toMatchObject({ status: 200, strict: "max-age=31536000" });
      expect((await ask("elsewhere.test", "GET", "/sign-in")).status).toBe(403);
      const form = new URLSearchParams({ name: "ann", password: "heron marble nineteen cups" }).toString();
      const { status, cookies } = await ask("heron.test", "POST", "/sign-in", form);
      expect(status).toBe(303);
      expect(cookies[0]).toMatch(/^almanac-visit=[^;]+; Path=\/; HttpOnly; Secure; SameSite=Strict$/);
    } finally {
      server.child.kill("SIGTERM");
      await server.ended;
    }
  });
});

test("tokens are shown once, renewed and taken away", async () => {
  const { json: added } = await typed(["token", "add", "badge-server", "--purpose", "source", "--json"]);
  expect(added).toEqual({ name: "badge-server", purpose: "source", token: expect.stringMatching(/^[\w-]{43}$/) });
  expect(await typed(["token", "add", "badge-server", "--purpose", "calendar"])).toMatchObject({ code: 2 });
  const { json: renewed } = await typed(["token", "renew", "badge-server", "--json"]);
  expect(renewed.token).not.toBe(added.token);
  const listed = await typed(["token", "list", "--json"]);
  expect(listed.json.tokens).toMatchObject([{ name: "badge-server", purpose: "source", usedAt: null }]);
  expect(listed.out).not.toContain(renewed.token);
  expect(await typed(["token", "remove", "badge-server"])).toMatchObject({ code: 0 });
  expect(await typed(["token", "renew", "badge-server"])).toMatchObject({
    code: 2,
    err: expect.stringContaining("there is none"),
  });
});

test("the only steward can't be removed while others have accounts, nor give the role away", async () => {
  await typed(["account", "add", "ben", "--role", "board", "safety"]);
  expect(await typed(["account", "remove", "ann"])).toMatchObject({
    code: 2,
    err: expect.stringContaining("another steward first"),
  });
  expect(await typed(["account", "roles", "ann", "--role", "board"])).toMatchObject({ code: 2 });
  expect(await typed(["account", "roles", "ben", "--role", "steward", "--json"])).toMatchObject({
    code: 0,
    json: { name: "ben", roles: ["steward"] },
  });
  expect(await typed(["account", "remove", "ann"])).toMatchObject({ code: 0 });
  const { json } = await typed(["account", "list", "--json"]);
  expect(json.accounts).toMatchObject([{ name: "ben", roles: "steward", hasPassword: false, hasSecondFactor: false }]);
});

test("the trail has who saw members and who changed what, typed or not, and no secret", async () => {
  await typed(["sessions", "--machine", "planer"]);
  const { json, out } = await typed(["trail", "--json"]);
  expect(json).toMatchObject({ intact: true, brokenAt: null });
  const steps = json.trail.map(({ who, act, what }: Record<string, string>) => `${who} ${act} ${what}`);
  expect(steps[0]).toBe("command line changed ingest");
  expect(steps).toEqual(
    expect.arrayContaining([
      "this computer saw sessions",
      "command line changed account add",
      "ann signed-in dashboard",
      "ann saw sessions",
      "command line changed account recover",
    ]),
  );
  expect(json.trail.at(-1)).toMatchObject({ who: "command line", act: "saw", what: "sessions", detail: '{"machine":"planer"}' });
  expect(out).not.toMatch(/code=|plum cart|heron marble|0041\d/);
});
