// Messages on an MQTT broker, for lamps, speakers and house automation: JSON at QoS 1 on the topic that the contact gives.
// An answer on `<topic>/answer`, such as `OK 17`, acknowledges.

import * as z from "zod";
import { evenIfIncomplete } from "../../config/cross-check.ts";
import { checkMqttConnection, mqttConnectionKeys } from "../../config/mqtt-connection.ts";
import { linkToBroker } from "../../sources/mqtt/broker-link.ts";
import { defineChannel, type Outcome, type OutgoingMessage } from "./channel.ts";

const config = z.lazy(() =>
  z
    .strictObject({
      kind: z.literal("mqtt").describe("JSON on a topic of a broker, for lamps, speakers and house automation"),
      name: z.string().min(1).describe("what contacts and the page call it"),
      ...mqttConnectionKeys(),
    })
    .superRefine(checkMqttConnection, evenIfIncomplete),
);

export const mqtt = defineChannel({
  kind: "mqtt",
  config,
  comparesKeys: true,
  takesReplies: true,
  addressProblem: (to) =>
    /[+#\0]|^[/$]|\/$/.test(to)
      ? `expected a topic without + and #, that neither begins with / or $ nor ends with /, found ${JSON.stringify(to)}`
      : null,
  async open(config, context) {
    const topics = new Set(context.addresses.map((topic) => `${topic}${answers}`));
    let problem: string | null = "not connected yet";
    const first = Promise.withResolvers<void>();
    const firstLate = setTimeout(first.resolve, firstConnection_ms);
    const link = await linkToBroker(config, {
      baseFolder: context.baseFolder,
      onUp(client) {
        problem = null;
        first.resolve();
        for (const topic of topics) client.subscribe(topic, { qos: 1 });
      },
      onDown(reason) {
        if (reason !== problem) context.log(reason);
        problem = reason;
        first.resolve();
      },
    });
    link.client.on("message", (topic, payload, { retain }) => {
      // What the broker kept was said of an alarm of before; it comes again with each connection.
      if (retain) return;
      if (topics.has(topic)) context.onReply(topic.slice(0, -answers.length), payload.toString("utf8").slice(0, 200));
    });
    let closing: Promise<void> | null = null;
    return {
      async send(message, signal): Promise<Outcome> {
        // Right after the start the connection is under way; later, another way is better than waiting.
        if (!link.client.connected) await Promise.race([first.promise, whenGivenUp(signal)]);
        if (signal.aborted) return { is: "failed", reason: "given up before it was sent", again: true };
        if (!link.client.connected) return { is: "failed", reason: problem ?? "not connected", again: true };
        return publish(link.client, message, signal);
      },
      health: () => ({ problem, note: null }),
      close() {
        clearTimeout(firstLate);
        first.resolve();
        closing ??= link.close();
        return closing;
      },
    };
  },
});

const answers = "/answer";
const firstConnection_ms = 5000;

function whenGivenUp(signal: AbortSignal): Promise<void> {
  return new Promise((resolve) => {
    if (signal.aborted) resolve();
    else signal.addEventListener("abort", () => resolve(), { once: true });
  });
}

/** Delivered when the broker has taken it (PUBACK). */
function publish(
  client: import("mqtt").MqttClient,
  { to, key, priority, subject, text, maybeRepeated, data }: OutgoingMessage,
  signal: AbortSignal,
): Promise<Outcome> {
  const body = JSON.stringify({ key, priority, subject, text, maybe_repeated: maybeRepeated, ...data });
  return new Promise((resolve) => {
    const give = (outcome: Outcome) => {
      signal.removeEventListener("abort", onAbort);
      resolve(outcome);
    };
    const onAbort = () => {
      give({ is: "failed", reason: "the broker did not confirm in time", again: true });
      if (id !== undefined) client.removeOutgoingMessage(id); // else it would go once the connection is back
    };
    signal.addEventListener("abort", onAbort, { once: true });
    client.publish(to, body, { qos: 1 }, (error) =>
      give(
        error === undefined || error === null
          ? { is: "handed-over" }
          : { is: "failed", reason: error.message, again: true },
      ),
    );
    const id = client.getLastMessageId();
    // It would be held until this turn is over, in which the record still waits for the card.
    if ("uncork" in client.stream && typeof client.stream.uncork === "function") client.stream.uncork();
  });
}
