// Events as messages of a broker: gathered into small batches, held back where the store can't follow, thinned where one topic floods.
import mqtt from "mqtt";
import type { Envelope } from "../reading/fields.ts";
import type { Live } from "./watch-folder.ts";

export interface MqttBatch {
  lines: ({ text: string } & Envelope)[];
  /** Messages that were not taken, with why; the rest went on. */
  refused: { topic: string; messages: number; reason: string }[];
}

export interface MqttSubscription {
  url: string;
  /** With + and # as the broker knows them. */
  topic: string | readonly string[];
  /** 1 where not given: nothing is lost on the way, and what comes twice is a duplicate. */
  qos?: 0 | 1 | 2;
  /** The broker's certificate authority, where it is no public one. */
  ca?: string | Buffer;
  username?: string;
  password?: string;
  /** Under which the broker keeps what comes while nobody listens. */
  clientId: string;
  /** Ingests the batch; a batch that it throws on is delivered again. */
  deliver: (batch: MqttBatch) => Promise<void>;
  onError: (error: unknown) => void;
  limits?: Partial<MqttLimits>;
}

export interface MqttLimits {
  /** A longer message is refused. */
  messageBytes: number;
  /** So many of one topic in a minute, the rest of that minute's are refused. */
  perTopicAndMinute: number;
  /** So many may wait for the store before the broker has to. */
  waiting: number;
  everyMs: number;
}

export const MQTT_LIMITS: MqttLimits = { messageBytes: 64 << 10, perTopicAndMinute: 6000, waiting: 10_000, everyMs: 200 };
const AT_ONCE = 5000;
const RETRY_MS = 2000;

/** Subscribes until closed. Messages that wait are delivered before it closes. */
export function subscribeMqtt({ deliver, onError, topic, ...how }: MqttSubscription): Live {
  const limits = { ...MQTT_LIMITS, ...how.limits };
  const client = mqtt.connect(how.url, {
    clientId: how.clientId,
    clean: false,
    reconnectPeriod: RETRY_MS,
    ...(how.ca === undefined ? {} : { ca: how.ca }),
    ...(how.username === undefined ? {} : { username: how.username }),
    ...(how.password === undefined ? {} : { password: how.password }),
  });
  const waiting: MqttBatch["lines"] = [];
  const held: (() => void)[] = [];
  const meter = new TopicMeter(limits);
  let running: Promise<void> | null = null;
  let timer: NodeJS.Timeout | null = null;
  let closed = false;

  const flush = async (): Promise<void> => {
    while (waiting.length > 0 || meter.hasRefused) {
      const lines = waiting.slice(0, AT_ONCE);
      try {
        await deliver({ lines, refused: meter.refused() });
      } catch (error) {
        onError(error);
        if (closed) break;
        await new Promise((resolve) => setTimeout(resolve, RETRY_MS));
        continue;
      }
      waiting.splice(0, lines.length);
      meter.settle();
      for (const goOn of held.splice(0)) goOn();
    }
    running = null;
  };
  const soon = (): void => {
    timer ??= setTimeout(() => {
      timer = null;
      running ??= flush();
    }, limits.everyMs);
  };

  // The broker gets its acknowledgement, and sends the next message, when this calls back.
  client.handleMessage = (packet, goOn) => {
    const payload = Buffer.isBuffer(packet.payload) ? packet.payload : Buffer.from(packet.payload);
    if (meter.takes(packet.topic, payload.length))
      waiting.push({ text: payload.toString("utf8"), topic: packet.topic, arrivedAt: new Date() });
    soon();
    if (waiting.length < limits.waiting) goOn();
    else held.push(() => goOn());
  };
  client.on("error", onError);
  return {
    ready: new Promise((resolve, reject) => {
      client.once("connect", () => {
        client.subscribeAsync([topic].flat(), { qos: how.qos ?? 1 }).then(() => resolve(), reject);
      });
    }),
    close: async () => {
      closed = true;
      if (timer !== null) clearTimeout(timer);
      await client.endAsync();
      running ??= flush();
      await running;
    },
  };
}

const MINUTE = 60_000;
const MOST_TOPICS = 10_000;

/** Counts what each topic sends in a minute, and what was refused of it since that was last told. */
class TopicMeter {
  readonly #limits: MqttLimits;
  #counts = new Map<string, number>();
  #minute = 0;
  #refused = new Map<string, { topic: string; messages: number; reason: string }>();
  #told: { topic: string; messages: number; reason: string }[] = [];

  constructor(limits: MqttLimits) {
    this.#limits = limits;
  }

  get hasRefused(): boolean {
    return this.#refused.size > 0;
  }

  takes(topic: string, bytes: number): boolean {
    const minute = Math.floor(Date.now() / MINUTE);
    if (minute !== this.#minute || this.#counts.size > MOST_TOPICS) this.#counts.clear();
    this.#minute = minute;
    const count = (this.#counts.get(topic) ?? 0) + 1;
    this.#counts.set(topic, count);
    if (bytes > this.#limits.messageBytes) return this.#refuse(topic, `longer than ${this.#limits.messageBytes} bytes`);
    if (count > this.#limits.perTopicAndMinute)
      return this.#refuse(topic, `more than ${this.#limits.perTopicAndMinute} messages a minute`);
    return true;
  }

  refused(): { topic: string; messages: number; reason: string }[] {
    this.#told = [...this.#refused.values()].map((one) => ({ ...one }));
    return this.#told;
  }

  /** What was told has arrived. */
  settle(): void {
    for (const { topic, reason, messages } of this.#told) {
      const entry = this.#refused.get(`${topic}\n${reason}`);
      if (entry === undefined) continue;
      entry.messages -= messages;
      if (entry.messages <= 0) this.#refused.delete(`${topic}\n${reason}`);
    }
    this.#told = [];
  }

  #refuse(topic: string, reason: string): false {
    const entry = this.#refused.get(`${topic}\n${reason}`) ?? { topic, messages: 0, reason };
    entry.messages++;
    this.#refused.set(`${topic}\n${reason}`, entry);
    return false;
  }
}
