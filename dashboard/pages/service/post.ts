// Something that needs the server at once: no queue keeps it.

/** Null where it was done, else why not. */
export async function post(path: string, body: unknown): Promise<string | null> {
  try {
    const response = await fetch(`/api/v1/${path}`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(body),
    });
    return response.ok ? null : `the server answered with ${response.status}`;
  } catch {
    return "the server can't be reached";
  }
}
