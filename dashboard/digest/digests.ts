// The digests of a week: made, then shown, written or sent.
import { mkdirSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { UsageError } from "../../shared/index.ts";
import { dayOfInstant } from "../../shared/times.ts";
import { type Role, roles } from "../access/rights.ts";
import type { Answer, Desk } from "../commands/command.ts";
import { mailboxOf } from "../telling/teller.ts";
import { type Composed, composed } from "./compose.ts";
import { mondayOf, partsFor } from "./parts.ts";
import { type Sent, sendOnce } from "./send.ts";

export async function digests(
  desk: Desk,
  { role, out, send }: { role?: Role | undefined; out?: string | undefined; send: boolean },
): Promise<Answer> {
  const { span, workshop, surroundings, store } = desk;
  const today = dayOfInstant(span.asOf, span.zone);
  const week = mondayOf(today);
  const wanted = role === undefined ? roles : [role];
  const addresses = send ? addressesOf(desk, wanted) : null;
  const made: { role: Role; digest: Composed }[] = [];
  for (const each of wanted) {
    if (addresses !== null && addresses[each].length === 0) continue;
    const parts = await partsFor[each](desk);
    made.push({ role: each, digest: composed({ role: each, workshop: workshop.workshop.workshop.name, week, today, parts }) });
  }
  const files: string[] = [];
  if (out !== undefined) {
    const folder = resolve(surroundings.cwd, out);
    mkdirSync(folder, { recursive: true });
    for (const { role: each, digest } of made) {
      for (const [ending, content] of [
        ["txt", digest.text],
        ["html", digest.html],
      ] as const) {
        const file = join(folder, `digest-${week}-${each}.${ending}`);
        writeFileSync(file, content);
        files.push(file);
      }
    }
  }
  const sent: Sent[] = [];
  if (addresses !== null) {
    const mailbox = mailboxOf(workshop);
    for (const { role: each, digest } of made) {
      for (const to of addresses[each]) {
        sent.push(
          await store.exclusively(() => sendOnce(desk.connection, { mailbox, week, role: each, to, digest, now: new Date() })),
        );
      }
    }
  }
  return {
    head: { week, today, files, sent, digests: made.map(({ role: each, digest }) => ({ role: each, ...digest })) },
    text: send
      ? sent.map(({ role: each, to, isNew }) => `${each} to ${to}: ${isNew ? "sent" : "had it this week"}\n`).join("")
      : out === undefined
        ? made.map(({ digest }) => digest.text).join("\n")
        : `${files.join("\n")}\n`,
    trail: send ? { week, sent: sent.filter(({ isNew }) => isNew).length } : null,
  };
}

/** Where each role's digest goes. Without addresses by role, `to` gets what the maintainers get, and nobody gets the rest. */
function addressesOf({ workshop }: Desk, wanted: readonly Role[]): Record<Role, string[]> {
  const { mail } = workshop.workshop.watch;
  if (mail === undefined)
    throw new UsageError({
      field: "watch.mail",
      value: null,
      expected: "a mail server in the workshop file, like {smtp: smtp://mail.lan, to: a@b}",
    });
  const of = (role: Role): string[] => [
    ...(mail.digest?.[role] ?? (mail.digest === undefined && role === "maintenance" ? mail.to : [])),
  ];
  const addresses = Object.fromEntries(roles.map((role) => [role, wanted.includes(role) ? of(role) : []])) as Record<
    Role,
    string[]
  >;
  if (Object.values(addresses).every((list) => list.length === 0))
    throw new UsageError({ field: "watch.mail.digest", value: null, expected: `addresses for ${wanted.join(", ")}` });
  return addresses;
}
