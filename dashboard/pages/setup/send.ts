// Sending a change: what came back, or a sentence of what is wrong.

export interface Sent<T> {
  answer: T | null;
  problem: string | null;
}

export async function sendJson<T>(path: string, body: unknown): Promise<Sent<T>> {
  return received<T>(() =>
    fetch(`/api/v1/${path}`, {
      method: "POST",
      headers: { "content-type": "application/json", accept: "application/json" },
      body: JSON.stringify(body),
    }),
  );
}

/** The file itself is the body; its name goes in the address. */
export const sendFile = <T>(path: string, file: File): Promise<Sent<T>> =>
  received<T>(() =>
    fetch(`/api/v1/${path}?name=${encodeURIComponent(file.name)}`, {
      method: "POST",
      headers: { "content-type": "application/octet-stream", accept: "application/json" },
      body: file,
    }),
  );

async function received<T>(send: () => Promise<Response>): Promise<Sent<T>> {
  let response: Response;
  try {
    response = await send();
  } catch (error) {
    console.info("not sent", error);
    return { answer: null, problem: "The server can't be reached; is the program still running? What you typed is still here." };
  }
  const isJson = response.headers.get("content-type")?.includes("json") ?? false;
  const json = isJson ? ((await response.json()) as Record<string, unknown>) : {};
  if (response.ok) return { answer: json as T, problem: null };
  const detail = typeof json.detail === "string" ? json.detail : `the server answered with ${response.status}`;
  return { answer: null, problem: `Not done: ${detail}.` };
}

/** Asks the page to fetch its leaf anew. */
export const askAnew = (): void => void dispatchEvent(new Event(changedEvent));
export const changedEvent = "almanac-changed";
