// A message to the one address that the workshop file lists: JSON, signed, no redirect followed.
import { createHmac } from "node:crypto";
import type { Message } from "./message.ts";

export interface Hook {
  url: string;
  /** Null: not signed. */
  secret: string | null;
}

const TIMEOUT_MS = 10_000;

/** The signature of a body sent at that second: both are under it, so that neither can be changed nor the whole be played again. */
export const signatureOf = (secret: string, timestamp: string, body: string): string =>
  `sha256=${createHmac("sha256", secret).update(`${timestamp}.${body}`).digest("hex")}`;

/** Resolves where the receiver took it (2xx); throws an error with the reason otherwise. */
export async function postMessage({ url, secret }: Hook, message: Message, now: Date): Promise<void> {
  const body = JSON.stringify(message);
  const timestamp = String(Math.floor(now.getTime() / 1000));
  const response = await fetch(url, {
    method: "POST",
    redirect: "manual",
    signal: AbortSignal.timeout(TIMEOUT_MS),
    headers: {
      "content-type": "application/json",
      "almanac-finding": message.id,
      "almanac-time": timestamp,
      ...(secret === null ? {} : { "almanac-signature": signatureOf(secret, timestamp, body) }),
    },
    body,
  });
  await response.body?.cancel();
  if (!response.ok) throw new Error(`the receiver answered ${response.status}`);
}
