// Hostile words through everything that takes words, hostile bodies, hostile paths; and what the program never does.
import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { request } from "node:http";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { parseSync } from "vite";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { issueToken } from "../../dashboard/access/tokens.ts";
import { inTurn, look } from "../../dashboard/access/turn.ts";
import { Browser, type House, openHouse, plainWorkshop } from "../access/house.ts";
import { root } from "../support/almanac.ts";

const sql = "x'); DROP TABLE event; --";
const html = "<script>alert(1)</script><img src=x onerror=alert(2)>";
const formula = '=HYPERLINK("http://evil",1)';
const lines = "two\r\nBEGIN:VEVENT\r\nnext";
const shell = "$(touch /tmp/almanac-was-here); `id`";

let house: House;
let visitor: Browser;
let token: string;
beforeAll(async () => {
  const workshop = plainWorkshop
    .replace("name: Heron Row Workshop", `name: ${JSON.stringify(`Heron ${html}`)}`)
    .replace(
      "{id: planer, name: Planer, room: wood, hazard: high, stations: [{station: 21}]}",
      `{id: planer, name: ${JSON.stringify(html + lines)}, room: wood, hazard: high, stations: [{station: 21}], parts: [{id: knives, name: ${JSON.stringify(lines)}, tasks: [{id: sharpen, name: ${JSON.stringify(html + lines)}, every: {hours: 1}, note: ${JSON.stringify(formula)}}]}]}`,
    );
  house = await openHouse({ workshop });
  visitor = new Browser(house.address);
  token = await inTurn(
    house.store,
    async (connection) => (await issueToken(connection, { purpose: "source", name: "shed", by: "a test" }, new Date())).secret,
  );
  const events = [sql, html, formula, lines, shell].flatMap((text, i) => [
    { time: `2025-03-0${i + 1}T09:00:00Z`, station: text, event: "enable", badge: text, detail: text },
    { time: `2025-03-0${i + 1}T10:00:00Z`, station: text, event: "release", badge: text, detail: text },
    { time: `2025-03-0${i + 1}T11:00:00Z`, station: "21", event: "enable", badge: text },
    { time: `2025-03-0${i + 1}T13:00:00Z`, station: "21", event: "release", badge: text },
    { time: `2025-03-0${i + 1}T14:00:00Z`, station: "21", event: text, badge: "7" },
  ]);
  const { status, json } = await visitor.ask("POST", "/api/v1/events", {
    headers: { authorization: `Bearer ${token}`, "content-type": "application/x-ndjson" },
    body: events.map((event) => JSON.stringify(event)).join("\n"),
  });
  if (status !== 200 || json.files[0].stored !== 20) throw new Error(JSON.stringify(json));
});
afterAll(() => house.close());

describe("hostile words", () => {
  test("in SQL are values: tables stand, and an option matches nothing but itself", async () => {
    const { json } = await visitor.get("/api/v1/sessions");
    expect(json.sessions).toHaveLength(10);
    expect(json.sessions.map(({ station }: { station: string }) => station)).toEqual(
      expect.arrayContaining([sql, html, formula]),
    );
    for (const path of ["hours?machine=", "sessions?machine=", "occupancy?group=", "due?machine="]) {
      const answer = await visitor.get(`/api/v1/${path}${encodeURIComponent("x' OR '1'='1")}`);
      expect(answer.status, path).toBeLessThan(500);
      expect(JSON.stringify(answer.json?.rows ?? answer.json?.sessions ?? [])).not.toContain("planer");
    }
    expect((await visitor.get("/api/v1/verify")).json.ok).toBe(true);
  });

  test("in HTML are text on every page", async () => {
    for (const path of [
      "/",
      "/log",
      "/machines",
      "/machines/planer",
      "/service",
      "/demand",
      "/account",
      `/machines/${encodeURIComponent(html)}`,
    ]) {
      const { text, headers } = await visitor.get(path, { accept: "text/html" });
      expect(text, path).not.toMatch(/<script>alert|<img src=x/);
      expect(headers.get("content-security-policy"), path).toMatch(/script-src 'self'(;|$)/);
      const tags = text.replace(/"[^"]*"/g, '""').replaceAll(/<script type="" id="">.*?<\/script>/g, "");
      expect(tags, path).not.toMatch(/<script(?![^>]*\bsrc=)(?![^>]*type="application\/json")[^>]*>|<[a-z][^>]*\son[a-z]+=/i);
      expect(tags, path).not.toMatch(/<[a-z][^>]*\sstyle=/i);
    }
  });

  test("in CSV begin no formula, and no cell begins a line", async () => {
    for (const path of ["sessions", "rejects", "due", "machines"]) {
      const { text } = await visitor.get(`/api/v1/${path}`, { accept: "text/csv" });
      for (const line of text.split("\r\n")) expect(line, path).not.toMatch(/(^|,)"?[=@]/);
    }
    const { text } = await visitor.get("/api/v1/sessions", { accept: "text/csv" });
    expect(text).toContain('"\'=HYPERLINK(""http://evil"",1)"');
  });

  test("in a calendar stay in their line", async () => {
    const { text, status } = await visitor.get("/calendar.ics");
    expect(status).toBe(200);
    const unfolded = text.replaceAll("\r\n ", "").split("\r\n");
    const begun = unfolded.filter((line) => line === "BEGIN:VEVENT").length;
    const summaries = unfolded.filter((line) => line.startsWith("SUMMARY:")).length;
    expect(begun).toBe(summaries);
    expect(unfolded).not.toContain("next");
    expect(unfolded.every((line) => line === "" || /^[A-Z-]+[:;]/.test(line))).toBe(true);
  });

  test("in an address or a header write no second line into the log", async () => {
    const before = house.logged.length;
    await visitor.get("/api/v1/%0d%0ainjected%20line");
    await visitor.get(`/machines/${encodeURIComponent(lines)}`, { accept: "text/html", "user-agent": "x" });
    expect(house.logged.slice(before).every((line) => !/[\r\n](?!\s+at )/.test(line))).toBe(true);
  });

  test("reach no shell: nothing was run, and no room but the build starts a process or evaluates text", () => {
    expect(existsSync("/tmp/almanac-was-here")).toBe(false);
    const filesUnder = (folder: string): string[] =>
      readdirSync(folder, { withFileTypes: true }).flatMap((entry) =>
        entry.isDirectory() ? filesUnder(join(folder, entry.name)) : /\.tsx?$/.test(entry.name) ? [join(folder, entry.name)] : [],
      );
    const files = ["shared", "ingest", "analytics", "dashboard", "sample-logs"].flatMap((room) => filesUnder(join(root, room)));
    expect(files.length).toBeGreaterThan(200);
    for (const file of files) {
      const text = readFileSync(file, "utf8");
      const { module } = parseSync(file, text);
      const names = module.staticImports.map(({ moduleRequest }) => moduleRequest.value);
      expect(
        names.filter((name) => /child_process|^(node:)?vm$|worker_threads/.test(name)),
        file,
      ).toEqual([]);
      expect(text, file).not.toMatch(/\beval\(|new Function\(|dangerouslySetInnerHTML=\{\{ __html: (?!html|jsonForHtml\()/);
    }
  });
});

describe("DuckDB behind the server", () => {
  test.each([
    "SELECT * FROM read_csv('/etc/passwd')",
    "SELECT * FROM read_text('/etc/hostname')",
    "SELECT * FROM read_text('../../etc/hostname')",
    "SELECT * FROM glob('/etc/*')",
    "SELECT * FROM read_parquet('http://127.0.0.1:9/x.parquet')",
    "COPY (SELECT 1) TO '/tmp/almanac-written.csv'",
    "ATTACH '/tmp/almanac-attached.duckdb' AS outside",
    "EXPORT DATABASE '/tmp/almanac-exported'",
    "INSTALL httpfs",
    "LOAD httpfs",
    "SET enable_external_access = true",
    "SET GLOBAL allowed_directories = ['/']",
    "SET lock_configuration = false",
    "SET temp_directory = '/tmp/elsewhere'",
  ])("is shut: %s", async (statement) => {
    await expect(look(house.store, (connection) => connection.run(statement))).rejects.toThrow(
      /Permission Error|Invalid Input Error|IO Error|disabled|configuration has been locked/,
    );
    for (const name of ["written.csv", "attached.duckdb", "exported"]) expect(existsSync(`/tmp/almanac-${name}`)).toBe(false);
  });
});

describe("hostile bodies and paths", () => {
  const post = (body: Buffer, headers: Record<string, string>): Promise<number> =>
    new Promise((done, fail) => {
      const sending = request(
        `${house.address}/api/v1/events`,
        { method: "POST", headers: { authorization: `Bearer ${token}`, "content-type": "application/x-ndjson", ...headers } },
        (response) => {
          response.resume();
          done(response.statusCode ?? 0);
        },
      );
      sending.on("error", fail);
      sending.end(body);
    });

  test("a bomb is not unpacked beyond the limit", async () => {
    const bomb = gzipSync(Buffer.alloc(200_000_000, "\n"));
    expect(bomb.length).toBeLessThan(400_000);
    const before = process.memoryUsage().rss;
    expect(await post(bomb, { "content-encoding": "gzip" })).toBe(413);
    expect(process.memoryUsage().rss - before).toBeLessThan(150_000_000);
  });

  test("a body that nests without end, or names what it shouldn't, is an error of the sender's", async () => {
    const deep = `${"[".repeat(100_000)}${"]".repeat(100_000)}`;
    const nested = await visitor.ask("POST", "/api/v1/calc/weibull-fit", {
      headers: { "content-type": "application/json" },
      body: deep,
    });
    expect(nested.status).toBeGreaterThanOrEqual(400);
    expect(nested.status).toBeLessThan(500);
    const proto = await visitor.ask("POST", "/api/v1/calc/weibull-fit", {
      headers: { "content-type": "application/json" },
      body: '{"__proto__":{"polluted":1},"constructor":{"prototype":{"polluted":1}},"time":[1,2],"status":[1,1]}',
    });
    expect(proto.status).toBeLessThan(500);
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
  });

  test("no path leads out of what is served", async () => {
    writeFileSync(join(house.folder, "secret.txt"), "the secret");
    const raw = (path: string): Promise<string> =>
      new Promise((done, fail) => {
        const url = new URL(house.address);
        const sending = request(
          { host: url.hostname, port: url.port, path, headers: { host: url.host, accept: "*/*" } },
          (response) => {
            let text = "";
            response.setEncoding("utf8").on("data", (part: string) => {
              text += part;
            });
            response.on("end", () => done(text));
          },
        );
        sending.on("error", fail);
        sending.end();
      });
    for (const path of [
      "/../../../../etc/passwd",
      "/..%2f..%2f..%2f..%2fetc%2fpasswd",
      "/assets/../../../../../etc/passwd",
      "/assets/..%5c..%5c..%5cetc%5cpasswd",
      "/%2e%2e/%2e%2e/etc/passwd",
      "/secret.txt",
      "/almanac.duckdb",
      "/workshop.yaml",
      "/almanac.duckdb.key",
    ])
      expect(await raw(path), path).not.toMatch(/root:|the secret|address_bits|DUCK/);
    for (const profile of ["../workshop.yaml", "/etc/passwd", "..%2fworkshop.yaml", "a/b.yaml"]) {
      const { status } = await visitor.ask("POST", `/api/v1/events?profile=${encodeURIComponent(profile)}`, {
        headers: { authorization: `Bearer ${token}`, "content-type": "application/x-ndjson" },
        body: "{}",
      });
      expect(status, profile).toBe(400);
    }
    for (const option of ["store=/etc/passwd", "workshop=/etc/passwd", "profile=/etc/passwd"])
      expect((await visitor.get(`/api/v1/hours?${option}`)).status, option).toBe(400);
  });
});

test("no package that is installed runs a script that fetches anything", () => {
  const { packages } = JSON.parse(readFileSync(join(root, "package-lock.json"), "utf8")) as {
    packages: Record<string, { hasInstallScript?: boolean; dev?: boolean; resolved?: string; integrity?: string }>;
  };
  const withScript = Object.entries(packages).filter(([, { hasInstallScript }]) => hasInstallScript);
  // esbuild only checks its own binary, which comes as a package; it is told not to run at all.
  expect(withScript.map(([name, { dev }]) => [name, dev])).toEqual([["node_modules/esbuild", true]]);
  const { allowScripts, dependencies } = JSON.parse(readFileSync(join(root, "package.json"), "utf8")) as {
    allowScripts: Record<string, boolean>;
    dependencies: Record<string, string>;
  };
  expect(allowScripts).toEqual({ esbuild: false });
  expect(Object.values(dependencies).filter((version) => !/^\d+\.\d+\.\d+(-[\w.]+)?$/.test(version))).toEqual([]);
  const fetched = Object.entries(packages).filter(([name, { integrity }]) => name !== "" && !integrity);
  expect(fetched.map(([name]) => name)).toEqual([]);
});
