// The description of the web API: every route is in it and nothing else, and its options are those that are taken.
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { needsOfRoutes } from "../../dashboard/access/guards.ts";
import { commands } from "../../dashboard/commands/index.ts";
import { pathOfCommand } from "../../dashboard/server/api.ts";
import { openApiPath } from "../../dashboard/server/openapi.ts";
import { type House, openHouse } from "../access/house.ts";

let house: House;
// biome-ignore lint/suspicious/noExplicitAny: checked by the assertions that read it
let description: any;
beforeAll(async () => {
  house = await openHouse();
  description = await (await fetch(`${house.address}/api/v1/openapi.json`)).json();
});
afterAll(() => house.close());

describe("the description of the API", () => {
  test("has every route of the application, and only those", () => {
    const ofCommands = new Set(commands.filter(({ http }) => http).map(pathOfCommand));
    const routes = needsOfRoutes(house.app)
      .filter(({ method }) => method !== "all")
      .map(({ method, path }) => ({ method, path: ofCommands.has(path) ? `/api/v1${path}` : path }))
      .filter(({ path }) => path.startsWith("/api/"))
      .map(({ method, path }) => `${method} ${openApiPath(path)}`)
      .sort();
    const described = Object.entries(description.paths as Record<string, object>)
      .flatMap(([path, methods]) => Object.keys(methods).map((method) => `${method} ${path}`))
      .sort();
    expect(described).toEqual(routes);
    expect(described.length).toBeGreaterThan(15);
  });

  test("is OpenAPI 3.1 with operations of names of their own and references that lead somewhere", () => {
    expect(description).toMatchObject({ openapi: "3.1.0", info: { title: "Workshop Almanac", version: expect.any(String) } });
    const ids: string[] = [];
    const look = (value: unknown): void => {
      if (Array.isArray(value)) for (const each of value) look(each);
      else if (value && typeof value === "object") {
        for (const [name, each] of Object.entries(value)) {
          if (name === "operationId") ids.push(String(each));
          if (name === "$ref")
            expect(
              String(each)
                .split("/")
                .slice(1)
                .reduce((at, key) => at?.[key], description),
              String(each),
            ).toBeDefined();
          look(each);
        }
      }
    };
    look(description);
    expect(new Set(ids).size).toBe(ids.length);
    for (const [path, methods] of Object.entries(
      description.paths as Record<string, Record<string, { parameters?: { name: string; in: string }[] }>>,
    )) {
      const inPath = [...path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name);
      for (const { parameters = [] } of Object.values(methods))
        expect(parameters.filter((each) => each.in === "path").map(({ name }) => name)).toEqual(inPath);
    }
  });

  test("names options that are taken: each of a question's is known to it, and none that names a file", async () => {
    const { parameters } = description.paths["/api/v1/hours"].get;
    const names = parameters.map(({ name }: { name: string }) => name);
    expect(names).toEqual(expect.arrayContaining(["by", "machine", "as-of", "since", "until"]));
    for (const [path, { get }] of Object.entries(
      description.paths as Record<string, { get?: { parameters?: { name: string }[] } }>,
    )) {
      for (const { name } of get?.parameters ?? []) {
        expect(["workshop", "store", "profile"]).not.toContain(name);
        const response = await fetch(`${house.address}${path}?${name}=%00nonsense`);
        const text = await response.text();
        expect(text, `${path}?${name}`).not.toMatch(/a known option|not to be set over the web/);
      }
    }
  });
});
