// Asking over the web, from a browser.
import type { Answers } from "./answers.ts";
import { type Ask, type Asker, addressOf, NotAnswered, type Params, Refused, type Sum } from "./ask.ts";

const ask: Ask = async <Name extends keyof Answers>(command: Name, params: Params = {}) => {
  const response = await fetched(command, addressOf(command, params), "application/json");
  return (await response.json()) as Answers[Name];
};

/** The bytes of an answer in another form: an Arrow stream or CSV. */
export async function bytesByFetch(command: string, params: Params, form: string): Promise<Uint8Array> {
  const response = await fetched(command, addressOf(command, params), form);
  return new Uint8Array(await response.arrayBuffer());
}

const sum: Sum = async (method, input) => {
  const response = await fetched("calc", `/api/v1/calc/${method}`, "application/json", input);
  return (await response.json()) as Record<string, unknown>;
};

export const askerByFetch: Asker = { ask, sum };

async function fetched(command: string, address: string, accept: string, body?: unknown): Promise<Response> {
  let response: Response;
  try {
    response = await fetch(address, {
      headers: { accept, ...(body === undefined ? {} : { "content-type": "application/json" }) },
      ...(body === undefined ? {} : { method: "POST", body: JSON.stringify(body) }),
    });
  } catch (error) {
    throw new NotAnswered("the server can't be reached; is the program still running?", null, error);
  }
  if (response.ok) return response;
  if (response.status === 401 || response.status === 403) throw new Refused(command);
  throw new NotAnswered(await wordsOf(response), response.status);
}

async function wordsOf(response: Response): Promise<string> {
  const fallback = `the server answered with ${response.status}`;
  if (!response.headers.get("content-type")?.includes("json")) return fallback;
  const problem = (await response.json()) as { detail?: unknown };
  return typeof problem.detail === "string" ? problem.detail : fallback;
}
