// Hears the boards on the broker. Comes back by itself when the broker does; asks again for what the broker should have
// kept and did not hand over, for a broker drops what it cannot queue.

import type { MqttClient } from "mqtt";
import { acknowledgeTopic } from "../publishers/acknowledgement.ts";
import { shelveTopic } from "../publishers/shelving.ts";
import { type BrokerLink, linkToBroker } from "../sources/mqtt/broker-link.ts";
import type { Message } from "./basins.ts";
import type { CentralFile } from "./config/central-file.ts";

export interface BrokerEarOptions {
  now_s(): number;
  take(message: Message): void;
  /** Names of basins that have not been heard at all. */
  unheard(): readonly string[];
  log(line: string): void;
}

export interface BrokerEar {
  /** Since when the broker is heard; null while it is not. */
  hearing_s(): number | null;
  /** Since when it is not heard, and why; null while it is. */
  lost(): { readonly since_s: number; readonly reason: string } | null;
  /** What is only heard when asked for: hands over what the broker kept, and what follows. @returns ends it */
  ask(basin: string, topics: readonly string[], take: (topic: string, payload: Buffer) => void): () => void;
  /**
   * Gives the broker something to keep for a board, below the basin's topic.
   * @throws when the broker is not heard, or has not confirmed in time
   */
  tell(basin: string, topic: string, payload: string): Promise<void>;
  close(): Promise<void>;
}

const orders = [`${acknowledgeTopic}/+`, `${shelveTopic}/+`] as const;
const always = ["status", "state", "cycle", "finding/+", "alarms", ...orders, "health"] as const;
const isAlways = (topic: string) => always.some((one) => one === topic);
/** A person waits for it. */
const tellWithin_ms = 5000;
/** By then everything that the broker kept has come. */
const askAgainAfter_ms = 5000;
const askedAtOnce = 50;

/** @throws when a password or certificate file cannot be read; a broker that is away is waited for */
export async function openBrokerEar(
  { broker, baseFolder }: CentralFile,
  options: BrokerEarOptions,
): Promise<BrokerEar> {
  const prefix = `${broker.topic_prefix}/`;
  const asked = new Map<string, (topic: string, payload: Buffer) => void>();
  let hearing_s: number | null = null;
  let lost: { since_s: number; reason: string } | null = { since_s: options.now_s(), reason: "not connected yet" };
  let timer: NodeJS.Timeout | undefined;
  let closed = false;

  const link: BrokerLink = await linkToBroker(broker, {
    baseFolder,
    onUp(client) {
      if (lost !== null) options.log("broker: connected");
      lost = null;
      hearing_s = options.now_s();
      client.subscribe(
        [...always.map((topic) => `${prefix}+/${topic}`), ...[...asked.keys()].map((topic) => prefix + topic)],
        { qos: 1 },
      );
      clearTimeout(timer);
      timer = setTimeout(() => void askAgain(client), askAgainAfter_ms);
    },
    onDown(reason) {
      if (closed) return;
      if (reason !== lost?.reason) options.log(`broker: ${reason}`);
      lost = { since_s: lost?.since_s ?? options.now_s(), reason };
      hearing_s = null;
    },
  });
  link.client.on("message", (topic, payload, { retain }) => {
    if (!topic.startsWith(prefix)) return;
    const slash = topic.indexOf("/", prefix.length);
    if (slash === -1) return;
    const name = topic.slice(prefix.length, slash);
    const below = topic.slice(slash + 1);
    const wanted = asked.get(`${name}/${below}`);
    wanted?.(below, payload);
    if (wanted === undefined || isAlways(below)) options.take({ basin: name, topic: below, payload, kept: retain });
  });

  async function askAgain(client: MqttClient): Promise<void> {
    const names = options.unheard();
    for (let first = 0; first < names.length && client.connected; first += askedAtOnce) {
      const topics = names
        .slice(first, first + askedAtOnce)
        .flatMap((name) => [`${prefix}${name}/status`, `${prefix}${name}/state`]);
      // A subscription of its own brings what was kept; it is not needed for what follows.
      await client.subscribeAsync(topics, { qos: 1 }).catch(() => undefined);
      await client.unsubscribeAsync(topics).catch(() => undefined);
    }
  }

  return {
    hearing_s: () => hearing_s,
    lost: () => lost,
    ask(basin, topics, take) {
      const own = topics.map((topic) => `${basin}/${topic}`);
      for (const topic of own) asked.set(topic, take);
      const full = own.map((topic) => prefix + topic);
      if (link.client.connected) link.client.subscribe(full, { qos: 1 });
      return () => {
        // Asked for again meanwhile, it is the other's.
        if (own.some((topic) => asked.get(topic) !== take)) return;
        for (const topic of own) asked.delete(topic);
        if (link.client.connected) link.client.unsubscribe(full);
      };
    },
    async tell(basin, topic, payload) {
      if (!link.client.connected) throw new Error(lost?.reason ?? "the broker is not heard");
      await inTime(link.client, `${prefix}${basin}/${topic}`, payload);
    },
    async close() {
      closed = true;
      clearTimeout(timer);
      await link.close();
    },
  };
}

/** What is not confirmed in time is not sent later, when nobody expects it any more. */
function inTime(client: MqttClient, topic: string, payload: string): Promise<void> {
  return new Promise((resolve, reject) => {
    const late = setTimeout(() => {
      if (id !== undefined) client.removeOutgoingMessage(id);
      reject(new Error(`the broker did not confirm within ${tellWithin_ms / 1000} s`));
    }, tellWithin_ms);
    client.publish(topic, payload, { qos: 1, retain: true }, (fault) => {
      clearTimeout(late);
      if (fault) reject(fault);
      else resolve();
    });
    const id = client.getLastMessageId();
  });
}
