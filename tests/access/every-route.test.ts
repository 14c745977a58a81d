// Every role tried against every route and every form of export, generated from the table and from the application itself.
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { needsOfRoutes, type RouteNeed } from "../../dashboard/access/guards.ts";
import { type Holder, hasRight, roles } from "../../dashboard/access/rights.ts";
import { issueToken } from "../../dashboard/access/tokens.ts";
import { inTurn } from "../../dashboard/access/turn.ts";
import { commands as everyCommand } from "../../dashboard/commands/index.ts";
import { Browser, giveAccount, type House, openHouse } from "./house.ts";

const forms = ["application/json", "text/csv", "application/vnd.apache.arrow.stream"];

let house: House;
const visitors = new Map<Holder | "nobody", { browser: Browser; headers: Record<string, string> }>();

beforeAll(async () => {
  house = await openHouse();
  for (const role of ["steward", ...roles.filter((each) => each !== "steward")] as const)
    await giveAccount(house.store, role, [role]);
  for (const role of roles) visitors.set(role, { browser: await new Browser(house.address).signIn(role), headers: {} });
  visitors.set("nobody", { browser: new Browser(house.address), headers: {} });
  const secretOf = async (purpose: "bench" | "source" | "calendar") =>
    (await inTurn(house.store, (connection) => issueToken(connection, { purpose, name: purpose, by: "steward" }, new Date())))
      .secret;
  const bench = new Browser(house.address);
  bench.cookies.set("almanac-bench", await secretOf("bench"));
  visitors.set("bench", { browser: bench, headers: {} });
  for (const purpose of ["source", "calendar"] as const)
    visitors.set(purpose, {
      browser: new Browser(house.address),
      headers: { authorization: `Bearer ${await secretOf(purpose)}` },
    });
});
afterAll(() => house.close());

const commandsOverWeb = everyCommand.filter((command) => command.http !== undefined);
const pathOf = ({ path, name }: (typeof everyCommand)[number]) => `/${path ?? name.split(" ")[0]}`;
const commandPaths = new Set(commandsOverWeb.map(pathOf));

/** The routes as the application has them; those of commands are mounted under /api/v1. */
const routes = (): (RouteNeed & { address: string })[] =>
  needsOfRoutes(house.app).map((route) => {
    const path = route.path.replace("/{*path}", "/some-page").replace(":method", "weibull-fit");
    return { ...route, address: commandPaths.has(route.path) ? `/api/v1${path}` : path };
  });

describe("every route", () => {
  it("is known with its need", () => {
    const found = routes();
    expect(found.length).toBeGreaterThan(25);
    for (const command of commandsOverWeb) {
      const { http, need } = command;
      expect(found).toContainEqual(expect.objectContaining({ method: http?.toLowerCase(), path: pathOf(command), need }));
    }
  });

  it("lets in who has the right, in whatever form is asked, and nobody else", async () => {
    const tried: string[] = [];
    const wrong: string[] = [];
    for (const { method, address, need } of routes()) {
      // "all" answers methods that no command has, the stream doesn't end, and signing out would end the test's own visits.
      if (method === "all" || address === "/api/v1/stream" || address === "/sign-out") continue;
      for (const [holder, { browser, headers }] of visitors) {
        for (const accept of address.startsWith("/api/") ? forms : ["text/html", "application/json"]) {
          const settings =
            method === "post" ? { headers: { ...headers, accept }, form: {} } : { headers: { ...headers, accept } };
          const { status, headers: got } = await browser.ask(method.toUpperCase(), address, settings);
          const isSentToSignIn = status === 303 && (got.get("location") ?? "").startsWith("/sign-in?to=");
          const isLetIn = status !== 401 && status !== 403 && !isSentToSignIn;
          const mayPass = hasRight(holder === "nobody" ? [] : [holder], need);
          const what = `${method} ${address} as ${holder} in ${accept}: ${status}`;
          tried.push(what);
          // Sign-in and one's own account answer a form without the right password with 401 themselves, having let it in.
          const isItsOwnNo = method === "post" && mayPass && status === 401 && ["anyone", "own-account"].includes(need);
          if (isLetIn !== mayPass && !isItsOwnNo) wrong.push(what);
        }
      }
    }
    expect(wrong).toEqual([]);
    expect(tried.length).toBeGreaterThan(450);
  }, 600_000);

  it("opens the stream of changes to whoever may come in", async () => {
    const opened: Record<string, number> = {};
    for (const [holder, { browser, headers }] of visitors) {
      const stop = new AbortController();
      const cookie = [...browser.cookies].map(([name, value]) => `${name}=${value}`).join("; ");
      const { status } = await fetch(`${house.address}/api/v1/stream`, { headers: { ...headers, cookie }, signal: stop.signal });
      opened[holder] = status;
      stop.abort();
    }
    expect(opened).toEqual({
      maintenance: 200,
      board: 200,
      safety: 200,
      steward: 200,
      bench: 200,
      nobody: 401,
      source: 401,
      calendar: 401,
    });
  });

  it("tells who isn't known to sign in, and who is that it is not for them", async () => {
    const nobody = visitors.get("nobody")?.browser;
    const board = visitors.get("board")?.browser;
    const stranger = await nobody?.get("/api/v1/sessions");
    expect(stranger).toMatchObject({ status: 401, json: { status: 401, error: { field: "account" } } });
    expect(stranger?.headers.get("content-type")).toMatch(/^application\/problem\+json/);
    expect(await board?.get("/api/v1/sessions")).toMatchObject({
      status: 403,
      json: { error: { expected: "one of safety, steward" } },
    });
    const page = await nobody?.get("/service", { accept: "text/html" });
    expect([page?.status, page?.headers.get("location")]).toEqual([303, "/sign-in?to=%2Fservice"]);
    expect(await nobody?.get("/api/v1/no-such-thing")).toMatchObject({ status: 401 });
    expect(await board?.get("/api/v1/no-such-thing")).toMatchObject({ status: 404 });
    expect(await nobody?.ask("DELETE", "/api/v1/hours")).toMatchObject({ status: 401 });
    expect(await board?.ask("DELETE", "/api/v1/hours")).toMatchObject({ status: 405 });
  });
});
