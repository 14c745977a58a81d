// The web API described as OpenAPI 3.1, made from the same schemas that its options are held against.
import { z } from "zod";
import { rights } from "../access/rights.ts";
import { type Command, common } from "../commands/command.ts";
import { kebab } from "../options.ts";
import { programVersion } from "../version.ts";

type Json = Record<string, unknown>;

/** Options that name files of the server's computer, or what only a command line knows. */
const notOverWeb = new Set(["workshop", "store", "json", "profile", "again"]);

const problem = { $ref: "#/components/schemas/Problem" };
const refusals: Record<string, string> = {
  400: "a value that won't do, or an unknown option",
  401: "nobody is signed in",
  403: "not for this visitor",
  404: "no such thing",
  409: "it meets what is there already",
  413: "too long",
  415: "none of the forms that are asked for",
  422: "it can't be understood",
  429: "too often",
};

const refused = (codes: readonly number[]): Json =>
  Object.fromEntries(
    codes.map((code) => [code, { description: refusals[code], content: { "application/problem+json": { schema: problem } } }]),
  );

const schemaOf = (options: z.ZodObject): { properties: Record<string, Json>; required: string[] } => {
  const json = z.toJSONSchema(options, { io: "input", unrepresentable: "any" }) as Json;
  return { properties: (json.properties ?? {}) as Record<string, Json>, required: (json.required ?? []) as string[] };
};

/** One option as the API knows it: what only a terminal's help shows is left out. */
function described({ placeholder: _, description, ...schema }: Json): { description?: unknown; schema: Json } {
  return description === undefined ? { schema } : { description, schema };
}

const parametersOf = (options: z.ZodObject, path: string): Json[] => {
  const { properties, required } = schemaOf(options);
  return Object.entries(properties)
    .filter(([name]) => !notOverWeb.has(name))
    .map(([name, schema]) => {
      const isInPath = path.includes(`{${name}}`);
      const where = isInPath ? "path" : "query";
      return {
        name: isInPath ? name : kebab(name),
        in: where,
        required: isInPath || required.includes(name),
        ...described(schema),
      };
    });
};

function bodyOf(command: Command, path: string): Json {
  if (command.readsStdin) return { type: "object", description: "as the method takes it" };
  const { properties, required } = schemaOf(command.options);
  const isOfBody = (name: string) => !path.includes(`{${name}}`) && !notOverWeb.has(name);
  return {
    type: "object",
    properties: Object.fromEntries(
      Object.entries(properties)
        .filter(([name]) => isOfBody(name))
        .map(([name, { placeholder: _, ...schema }]) => [name, schema]),
    ),
    required: required.filter(isOfBody),
  };
}

const answer = {
  description: "the answer; figures are not rounded, what is unknown is null",
  content: {
    "application/json": { schema: { type: "object" } },
    "text/csv": { schema: { type: "string" } },
    "application/vnd.apache.arrow.stream": { schema: { type: "string", contentEncoding: "binary" } },
  },
};

const needed = (need: keyof typeof rights): string => `For: ${rights[need].join(", ")}.`;

function operationOf(command: Command, path: string): Json {
  const isGet = command.http === "GET";
  const own = parametersOf(command.options, path);
  const shared = isGet ? parametersOf(common, path).filter(({ name }) => !own.some((each) => each.name === name)) : [];
  return {
    operationId: command.name.replaceAll(" ", "-"),
    summary: command.summary,
    description: needed(command.need),
    parameters: isGet ? [...own, ...shared] : own.filter((each) => each.in === "path"),
    ...(isGet ? {} : { requestBody: { required: true, content: { "application/json": { schema: bodyOf(command, path) } } } }),
    responses: { 200: answer, ...refused(isGet ? [400, 401, 403, 415, 429] : [400, 401, 403, 409, 413, 422, 429]) },
  };
}

/** Routes of the API that are no commands. */
const others: Record<string, Json> = {
  "/api/v1/visitor": {
    get: {
      operationId: "visitor",
      summary: "who the visitor is and what it may do",
      responses: { 200: { description: "the visitor", content: { "application/json": { schema: { type: "object" } } } } },
    },
  },
  "/api/v1/stream": {
    get: {
      operationId: "stream",
      summary: "changes as server-sent events",
      responses: {
        200: { description: "events named change", content: { "text/event-stream": { schema: { type: "string" } } } },
        ...refused([401, 403]),
      },
    },
  },
  "/api/v1/openapi.json": {
    get: {
      operationId: "openapi",
      summary: "this description",
      responses: { 200: { description: "OpenAPI 3.1", content: { "application/json": { schema: { type: "object" } } } } },
    },
  },
  "/api/v1/setup/log": {
    post: {
      operationId: "setup-log",
      summary: "a log file as it is, kept aside until it is accepted or dropped",
      description: needed("do-setup"),
      parameters: [{ name: "name", in: "query", required: false, schema: { type: "string" } }],
      requestBody: {
        required: true,
        content: { "application/octet-stream": { schema: { type: "string", contentEncoding: "binary" } } },
      },
      responses: {
        200: {
          description: "under which name it is kept",
          content: {
            "application/json": {
              schema: {
                type: "object",
                properties: { upload: { type: "string" }, name: { type: "string" }, bytes: { type: "integer" } },
              },
            },
          },
        },
        ...refused([400, 401, 403, 413, 429]),
      },
    },
  },
  "/api/v1/events": {
    post: {
      operationId: "events",
      summary: "events in, as NDJSON in the house format or by a profile beside the workshop file",
      description: needed("send-events"),
      security: [{ token: [] }],
      parameters: [{ name: "profile", in: "query", required: false, schema: { type: "string" } }],
      requestBody: { required: true, content: { "application/x-ndjson": { schema: { type: "string" } } } },
      responses: {
        200: {
          description: "what became of the lines",
          content: { "application/json": { schema: { type: "object", properties: { files: { type: "array" } } } } },
        },
        ...refused([400, 401, 403, 413, 422, 429]),
      },
    },
  },
};

export const openApiPath = (path: string): string => path.replace(/:(\w+)/g, "{$1}");

/** `pathOf` gives a command's address below /api/v1. */
export function openApi(commands: readonly Command[], pathOf: (command: Command) => string): Json {
  const paths: Record<string, Json> = { ...others };
  for (const command of commands) {
    if (!command.http) continue;
    const path = openApiPath(`/api/v1${pathOf(command)}`);
    const method = command.http.toLowerCase();
    paths[path] = { ...paths[path], [method]: operationOf(command, path) };
  }
  return {
    openapi: "3.1.0",
    info: {
      title: "Workshop Almanac",
      version: programVersion(),
      description: "The same answers as the command line's, as of now unless asked otherwise. Times are RFC 3339 in UTC.",
    },
    paths,
    components: {
      schemas: {
        Problem: {
          type: "object",
          description: "RFC 9457",
          properties: {
            type: { type: "string" },
            title: { type: "string" },
            status: { type: "integer" },
            detail: { type: "string" },
            error: {
              type: "object",
              properties: { field: { type: "string" }, value: {}, expected: { type: "string" } },
              required: ["field", "expected"],
            },
          },
          required: ["status"],
        },
      },
      securitySchemes: {
        visit: { type: "apiKey", in: "cookie", name: "almanac-visit" },
        token: { type: "http", scheme: "bearer" },
      },
    },
    security: [{ visit: [] }, { token: [] }],
  };
}
