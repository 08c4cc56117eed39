// Publishes what the daemon knows on an MQTT broker: state, cycles and findings, as retained JSON, QoS 1, so that
// whoever subscribes later knows at once. SI, with the unit in the name, as in the types of analysis/.
//
//   <prefix>/status          online, or offline (the broker says so too when the daemon is gone: last will)
//   <prefix>/state           the situation, `invented`, `run` and the daemon's clock (`clock_s`), when the situation
//                            changes, at most once a second
//   <prefix>/cycle           the last settled cycle
//   <prefix>/finding/<kind>  a finding: `to_s` is null while it lasts, and its end afterwards
//   <prefix>/site            what does not change while the daemon runs, as GET /api/site
//   <prefix>/health          sources, store, clock and forwarding, as in GET /api/state; at most once a minute
//   <prefix>/summary         the report so far without its cycles, as GET /api/summary; at most every ten minutes
//   <prefix>/alarms          the alarms that last or wait for an answer, what is put aside, who did what lately, and
//                            whether they can be answered and shelved here
//
// Where the site file says so it also hears answers, on <prefix>/acknowledge/<alarm>, and what is to be shelved, on
// <prefix>/shelve/<alarm>, and takes back what it has heard.

import { randomUUID } from "node:crypto";
import type { MqttClient } from "mqtt";
import type { Situation } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import type { PublishMqtt } from "../config/site-file.ts";
import { encodeJson } from "../server/encode-json.ts";
import { linkToBroker } from "../sources/mqtt/broker-link.ts";
import { type Schedule, schedule as systemSchedule } from "../sources/schedule.ts";
import { type Acknowledgement, acknowledgeTopic, readAcknowledgement } from "./acknowledgement.ts";
import { readShelving, type Shelving, shelveTopic } from "./shelving.ts";

export interface MqttPublisherOptions {
  readonly baseFolder: string;
  /** The readings are not of a real basin. */
  readonly invented: boolean;
  /** The daemon's clock, by which shelves end. */
  readonly now_s: () => number;
  /** Told of each answer to an alarm, where the site file lets them come by the broker; what it is told is kept when it returns. */
  onAcknowledge?(acknowledgement: Acknowledgement): void;
  /** The same of what is to be shelved. */
  onShelve?(shelving: Shelving): void;
  log?(line: string): void;
  readonly schedule?: Schedule;
}

export interface MqttPublisher {
  state(situation: Situation): void;
  cycle(cycle: Cycle): void;
  finding(finding: Finding): void;
  /** What is said seldom, for whoever looks at this basin from afar; said again only when it has changed. */
  about(name: "site" | "health" | "summary" | "alarms", content: object): void;
  /** Why nothing gets through; null while all is well. */
  error(): string | null;
  close(): Promise<void>;
}

const retained = { qos: 1, retain: true } as const;
const shortestInterval_s = 1;
/** From here on what a broker grants is a refusal (MQTT 3.1.1, 3.9.3; MQTT 5, 3.9.3). */
const refused = 128;

/** @throws when a password or certificate file cannot be read; a broker that is away is waited for */
export async function startMqttPublisher(config: PublishMqtt, options: MqttPublisherOptions): Promise<MqttPublisher> {
  const { schedule = systemSchedule } = options;
  const topic = (name: string) => `${config.topic_prefix}/${name}`;
  // The last message of each topic: all that has to be said when the broker comes back, and no more than that.
  const messages = new Map<string, string>();
  const openFindings = new Map<Finding["kind"], Finding[]>();
  // Two boards that go by one name are told apart by it: one that has been started anew does not go back to its old one.
  const run = randomUUID().slice(0, 8);
  const orders = [
    ...(config.acknowledge === true ? [acknowledgeTopic] : []),
    ...(config.shelve === true ? [shelveTopic] : []),
  ];
  let connected: MqttClient | null = null;
  let error: string | null = null;
  let saidState: string | null = null;
  let waitingState: Situation | null = null;
  let cancelPause: (() => void) | null = null;

  const link = await linkToBroker(config, {
    baseFolder: options.baseFolder,
    client: { will: { topic: topic("status"), payload: Buffer.from("offline"), ...retained } },
    onUp(client) {
      connected = client;
      if (error !== null) options.log?.("publish.mqtt: the broker is back");
      error = null;
      say("status", "online");
      for (const [name, message] of messages) say(name, message);
      hearAnswers(client);
    },
    onDown(reason) {
      connected = null;
      if (reason !== error) options.log?.(`publish.mqtt: ${reason}`);
      error = reason;
    },
  });

  if (orders.length > 0) link.client.on("message", (name, payload) => take(name, payload));

  return {
    state(situation) {
      if (cancelPause === null) sayState(situation);
      else waitingState = situation;
    },
    cycle: (cycle) => keep("cycle", encodeJson(cycle)),
    finding(finding) {
      const others = (openFindings.get(finding.kind) ?? []).filter(({ from_s }) => from_s !== finding.from_s);
      openFindings.set(finding.kind, finding.to_s === null ? [...others, finding] : others);
      keep(`finding/${finding.kind}`, JSON.stringify(finding));
      // One of two that last has ended (two sensors, say): what is kept is to say that the other one lasts.
      const stillOpen = finding.to_s === null ? undefined : others.at(-1);
      if (stillOpen !== undefined) keep(`finding/${finding.kind}`, JSON.stringify(stillOpen));
    },
    about(name, content) {
      const message = encodeJson(content);
      if (messages.get(name) !== message) keep(name, message);
    },
    error: () => error,
    async close() {
      cancelPause?.();
      say("status", "offline");
      connected = null;
      await link.close();
    },
  };

  function hearAnswers(client: MqttClient): void {
    for (const order of orders) {
      client.subscribe(topic(`${order}/+`), { qos: 1 }, (fault, granted = []) => {
        if (fault === null && granted.every(({ qos }) => Number(qos) < refused)) return;
        const what = order === shelveTopic ? "shelve" : "answer";
        options.log?.(`publish.mqtt: the broker lets nobody ${what} alarms: this board may not read ${topic(order)}/+`);
      });
    }
  }

  /** One that was kept while the board was away counts, for it names the alarm that it answers. */
  function take(name: string, payload: Buffer): void {
    if (!name.startsWith(topic("")) || payload.length === 0) return;
    const below = name.slice(topic("").length);
    const acknowledgement = config.acknowledge === true ? readAcknowledgement(below, payload) : null;
    const shelving = config.shelve === true ? readShelving(below, payload) : null;
    if (acknowledgement !== null) options.onAcknowledge?.(acknowledgement);
    else if (shelving !== null) options.onShelve?.(shelving);
    else options.log?.(`publish.mqtt: ${name}: expected an answer to an alarm, or its shelving, found something else`);
    connected?.publish(name, "", retained);
  }

  /** That the clock goes on is no news. */
  function sayState(situation: Situation): void {
    const told = { ...situation, invented: options.invented, run };
    const withoutClock = encodeJson(told);
    if (saidState === withoutClock) return;
    saidState = withoutClock;
    keep("state", encodeJson({ ...told, clock_s: options.now_s() }));
    cancelPause = schedule(() => {
      cancelPause = null;
      const waiting = waitingState;
      waitingState = null;
      if (waiting !== null) sayState(waiting);
    }, shortestInterval_s);
  }

  function keep(name: string, message: string): void {
    messages.set(name, message);
    say(name, message);
  }

  // Unsent messages are not left to the client, which would hoard one a second while the broker is away.
  function say(name: string, message: string): void {
    connected?.publish(topic(name), message, retained);
  }
}
