// A digest goes to each address once a week, whatever happens in between.
import { createHash } from "node:crypto";
import type { DuckDBConnection } from "@duckdb/node-api";
import { ask, FailedError, perform, question } from "../../shared/index.ts";
import { type Mailbox, sendMail } from "../telling/mail.ts";
import type { Composed } from "./compose.ts";

const claimQuestion = question(import.meta.url, "./claim.sql");
const unclaimQuestion = question(import.meta.url, "./unclaim.sql");
const sentQuestion = question(import.meta.url, "./sent.sql");

export interface Sent {
  role: string;
  to: string;
  /** False where it went out before, or was begun and nobody knows whether it arrived. */
  isNew: boolean;
}

/**
 * Sends one digest to one address, unless it was sent or begun this week. The claim comes first and is given back only where the
 * mail server said no. Throws FailedError then.
 */
export async function sendOnce(
  connection: DuckDBConnection,
  {
    mailbox,
    week,
    role,
    to,
    digest,
    now,
  }: { mailbox: Mailbox; week: string; role: string; to: string; digest: Composed; now: Date },
): Promise<Sent> {
  const about = { week, role, recipient: to };
  const claimed = await ask<{ role: string }>(connection, claimQuestion, { ...about, at: now });
  if (claimed.length === 0) return { role, to, isNew: false };
  const mark = createHash("sha256")
    .update(JSON.stringify([mailbox.from, week, role, to]))
    .digest("hex")
    .slice(0, 32);
  try {
    await sendMail({ ...mailbox, to: [to] }, digest, `<digest-${mark}@workshop-almanac.invalid>`);
  } catch (error) {
    await perform(connection, unclaimQuestion, about);
    const reason = error instanceof Error ? error.message : String(error);
    throw new FailedError({ field: "mail", value: to, expected: `a mail server that takes it (${reason})` }, error);
  }
  await perform(connection, sentQuestion, { ...about, at: new Date() });
  return { role, to, isNew: true };
}
