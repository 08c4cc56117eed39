// The mqtt channel against Debian's mosquitto.

import { connect, type MqttClient } from "mqtt";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { OpenChannel } from "../../daemon/alarms/channels/channel.ts";
import { mqtt } from "../../daemon/alarms/channels/mqtt.ts";
import { type Heard, listeningChannel, message } from "../daemon/alarms/channels/listening-channel.ts";
import { type Mosquitto, startMosquitto } from "./mosquitto.ts";
import { until } from "./until.ts";

const topic = "house/alarm";
const never = new AbortController().signal;
let broker: Mosquitto;
let channel: OpenChannel;
let heard: Heard;
let lamp: MqttClient;
let shown: Record<string, unknown>[];

beforeEach(async () => {
  broker = await startMosquitto({ lines: ["allow_anonymous true"] });
  const listening = listeningChannel("/", { addresses: [topic] });
  heard = listening.heard;
  channel = await mqtt.open(mqtt.config.parse({ kind: "mqtt", name: "house", url: broker.url }), listening.context);
  shown = [];
  lamp = connect(broker.url, { reconnectPeriod: 50 });
  lamp.on("connect", () => lamp.subscribe(topic, { qos: 1 }));
  lamp.on("message", (_topic, payload) => shown.push(JSON.parse(payload.toString())));
});
afterEach(async () => {
  await channel.close();
  await lamp.endAsync(true);
  await broker.dispose();
});

const send = (signal = never) => channel.send({ ...message, to: topic }, signal);

describe("the mqtt channel", () => {
  it("waits for its first connection, instead of failing right after the start", async () => {
    expect(await send()).toEqual({ is: "handed-over" });
  });

  it("says all that the message says, with its key", async () => {
    await until("the lamp listens", () => lamp.connected);
    await lamp.subscribeAsync(topic, { qos: 1 });
    await send();
    await until("the lamp has it", () => shown.length === 1);
    expect(shown[0]).toEqual({
      ...{ key: message.key, priority: "high", subject: message.subject, text: message.text, maybe_repeated: false },
      ...{ message: 17, site: "Hill House" },
    });
  });

  it("takes an answer on the topic below, and only there", async () => {
    await send();
    await lamp.publishAsync("house/other/answer", "OK 1", { qos: 1 });
    await lamp.publishAsync(`${topic}/answer`, "OK 17", { qos: 1, retain: true });
    await until("the answer", () => heard.replies.length > 0);
    expect(heard.replies).toEqual([{ from: topic, text: "OK 17" }]);
  });

  it("takes no answer that the broker kept from before", async () => {
    await lamp.publishAsync(`${topic}/answer`, "OK 16", { qos: 1, retain: true });
    const { heard: later, context } = listeningChannel("/", { addresses: [topic] });
    const reopened = await mqtt.open(mqtt.config.parse({ kind: "mqtt", name: "house", url: broker.url }), context);
    await reopened.send({ ...message, to: topic }, never);
    await lamp.publishAsync(`${topic}/answer`, "OK 18", { qos: 1 });
    await until("the answer", () => later.replies.length > 0);
    await reopened.close();
    expect(later.replies).toEqual([{ from: topic, text: "OK 18" }]);
  });

  it("says at once that the broker is away, and works again when it is back", async () => {
    await send();
    await broker.kill();
    await until("it is noticed", () => channel.health().problem !== null);
    expect(await send()).toMatchObject({ is: "failed", again: true, reason: expect.stringMatching(/^mqtt:\/\//) });
    await broker.start();
    await until("it is back", () => channel.health().problem === null);
    expect(await send()).toEqual({ is: "handed-over" });
    await lamp.publishAsync(`${topic}/answer`, "OK", { qos: 1 });
    await until("it is heard again", () => heard.replies.length > 0);
  });
});
