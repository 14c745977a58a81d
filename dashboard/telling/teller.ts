// Tells of grave findings while the dashboard is open: after each delivery of lines the rules on hardware look at its span, and what
// they find goes out by webhook or mail, once.
import { readFileSync } from "node:fs";
import type { DuckDBConnection } from "@duckdb/node-api";
import { findings, rules, urgentRules } from "../../analytics/index.ts";
import { ask, loadWorkshop, pathBeside, perform, question, type Store, type WorkshopFile } from "../../shared/index.ts";
import { inTurn, look } from "../access/turn.ts";
import { workshopForRules } from "../findings/findings-of.ts";
import { bringUpToDate } from "../upkeep.ts";
import { type Mailbox, mailMessage } from "./mail.ts";
import { type Message, messageOf } from "./message.ts";
import { type Hook, postMessage } from "./webhook.ts";

const claimQuestion = question(import.meta.url, "./claim.sql");
const takeQuestion = question(import.meta.url, "./take.sql");
const doneQuestion = question(import.meta.url, "./done.sql");
const nextQuestion = question(import.meta.url, "./next.sql");
const interruptedQuestion = question(import.meta.url, "./interrupted.sql");

export interface TellerSettings {
  store: Store;
  /** Path of the workshop file. */
  workshop: string;
  log: (line: string) => void;
  /** What a test hands in. */
  now?: () => Date;
  post?: typeof postMessage;
  mail?: typeof mailMessage;
  firstRetryMs?: number;
  againMs?: number;
}

export interface Teller {
  /** Looks at what was stored between the two; lines come late, so it looks again a little later. */
  afterDelivery(span: { from: Date; until: Date }): void;
  /** Everything begun so far has been done; for tests and for closing. */
  settled(): Promise<void>;
  close(): Promise<void>;
}

/** What is older is for the list, not for a message: a log read years later tells nobody to run. */
const NEWS_MS = 24 * 3_600_000;
/** Rules wait up to three quarters of a minute for lines that come late; a second look after that is still within the minute. */
const AGAIN_MS = 50_000;
const FIRST_RETRY_MS = 5_000;
const LONGEST_RETRY_MS = 600_000;
/** What could not be sent in a day isn't news any more. */
const GIVE_UP_MS = 24 * 3_600_000;

type Channel = "webhook" | "mail";

interface Taken {
  finding_id: string;
  channel: Channel;
  claimed_at: Date;
  tries: number;
  message: string;
}

export function startTelling(settings: TellerSettings): Teller {
  const { store, log, now = () => new Date(), againMs = AGAIN_MS, firstRetryMs = FIRST_RETRY_MS } = settings;
  const post = settings.post ?? postMessage;
  const mail = settings.mail ?? mailMessage;
  const timers = new Set<NodeJS.Timeout>();
  let line: Promise<void> = Promise.resolve();
  let isClosed = false;

  const inLine = (what: string, work: () => Promise<void>): void => {
    line = line.then(async () => {
      if (isClosed) return;
      try {
        await work();
      } catch (error) {
        log(`telling, ${what}: ${error instanceof Error ? error.message : error}`);
      }
    });
  };
  const later = (ms: number, work: () => void): void => {
    const timer = setTimeout(() => {
      timers.delete(timer);
      work();
    }, ms);
    timer.unref();
    timers.add(timer);
  };

  async function lookAt(from: Date): Promise<void> {
    const file = loadWorkshop(settings.workshop);
    const channels = channelsOf(file);
    if (channels.length === 0) return;
    const at = now();
    const oldest = new Date(at.getTime() - NEWS_MS);
    const since = from > oldest ? from : oldest;
    const list = await look(store, async (connection) => {
      await bringUpToDate(store, connection, file, DEFAULT_SEED);
      const { findings: found } = await findings(connection, {
        ...workshopForRules(file),
        zone: file.workshop.workshop.zone,
        asOf: at,
        since,
        until: undefined,
        seed: DEFAULT_SEED,
        only: urgentRules,
        reviewsUntil: null,
      });
      return found.filter(({ severity, state, until }) => severity === "grave" && state === "open" && until >= oldest);
    });
    for (const finding of list) {
      const name = file.workshop.machines.find(({ id }) => id === finding.machine)?.name ?? finding.machine;
      const summary = rules.find((rule) => rule.name === finding.rule)!.summary;
      const message = messageOf(finding, summary, file.workshop.workshop.name, name);
      for (const channel of channels) await claim(store, finding.id, channel, message, at);
    }
    await sendDue();
  }

  async function sendDue(): Promise<void> {
    const at = now();
    const taken = await inTurn(store, (connection) => ask<Taken>(connection, takeQuestion, { now: at }));
    for (const one of taken) await send(one);
    const nextAt = await look(
      store,
      async (connection) => (await ask<{ nextAt: Date | null }>(connection, nextQuestion))[0]?.nextAt,
    );
    if (nextAt) later(Math.max(0, nextAt.getTime() - now().getTime()), () => inLine("sending again", sendDue));
  }

  async function send({ finding_id, channel, claimed_at, tries, message }: Taken): Promise<void> {
    const at = now();
    const done = (sentAt: Date | null, nextAt: Date | null, problem: string | null) =>
      inTurn(store, (connection) =>
        perform(connection, doneQuestion, { finding_id, channel, sent_at: sentAt, next_at: nextAt, problem }),
      );
    try {
      const file = loadWorkshop(settings.workshop);
      const said = JSON.parse(message) as Message;
      if (channel === "webhook") await post(hookOf(file), said, at);
      else await mail(mailboxOf(file), said, `<${finding_id}@workshop-almanac.invalid>`);
      await done(now(), null, null);
      log(`told by ${channel} of finding ${finding_id}`);
    } catch (error) {
      const reason = error instanceof Error ? error.message : String(error);
      const wait = Math.min(LONGEST_RETRY_MS, firstRetryMs * 2 ** (tries - 1));
      const isLate = at.getTime() - claimed_at.getTime() > GIVE_UP_MS;
      await done(null, isLate ? null : new Date(now().getTime() + wait), reason);
      log(`${channel} of finding ${finding_id}: ${reason}${isLate ? "; given up" : `; again in ${Math.round(wait / 1000)} s`}`);
    }
  }

  inLine("at the start", async () => {
    const lost = await inTurn(store, (connection) =>
      ask<{ finding_id: string; channel: string }>(connection, interruptedQuestion),
    );
    for (const { finding_id, channel } of lost)
      log(`${channel} of finding ${finding_id}: may or may not have arrived; not sent again`);
    await lookAt(new Date(now().getTime() - NEWS_MS));
  });
  return {
    afterDelivery({ from, until }) {
      if (until.getTime() < now().getTime() - NEWS_MS) return;
      const again = () => inLine("what came in", () => lookAt(from));
      again();
      later(againMs, again);
    },
    settled: () => line,
    async close() {
      isClosed = true;
      for (const timer of timers) clearTimeout(timer);
      await line;
    },
  };
}

/** As commands have it by default. */
const DEFAULT_SEED = 1;

const claim = (store: Store, findingId: string, channel: Channel, message: Message, at: Date): Promise<unknown> =>
  inTurn(store, (connection: DuckDBConnection) =>
    ask(connection, claimQuestion, { finding_id: findingId, channel, at, message: JSON.stringify(message) }),
  );

const channelsOf = ({ workshop: { watch } }: WorkshopFile): Channel[] => [
  ...(watch.webhook === undefined ? [] : (["webhook"] as const)),
  ...(watch.mail === undefined ? [] : (["mail"] as const)),
];

const secretFrom = (file: WorkshopFile, path: string): string => readFileSync(pathBeside(file.path, path), "utf8").trim();

function hookOf(file: WorkshopFile): Hook {
  const { webhook } = file.workshop.watch;
  if (webhook === undefined) throw new Error("the workshop file names no webhook any more");
  return { url: webhook.url, secret: webhook.secret_file === undefined ? null : secretFrom(file, webhook.secret_file) };
}

/** Throws where the workshop file names no mail. */
export function mailboxOf(file: WorkshopFile): Mailbox {
  const { mail } = file.workshop.watch;
  if (mail === undefined) throw new Error("the workshop file names no mail any more");
  const { smtp, to, from, username, password_file } = mail;
  return {
    smtp,
    to,
    from: from ?? to[0]!,
    user:
      username === undefined
        ? null
        : { name: username, password: password_file === undefined ? "" : secretFrom(file, password_file) },
  };
}
