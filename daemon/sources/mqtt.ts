// Listens to any MQTT broker: each channel of the site file has a topic, and a message on it becomes a reading.
// A message that cannot be read is counted and said; the broker's absence is shown, and ends by itself.

import * as z from "zod";
import { at, evenIfIncomplete, report } from "../config/cross-check.ts";
import { mqttConnectionKeys } from "../config/mqtt-connection.ts";
import { quantity } from "../config/quantity.ts";
import { addressOf, linkToBroker } from "./mqtt/broker-link.ts";
import { channelsSchema } from "./mqtt/channel-schema.ts";
import { readMessage } from "./mqtt/read-message.ts";
import { defineSource } from "./source.ts";

export const mqtt = defineSource({
  kind: "mqtt",

  config: z.lazy(() =>
    z
      .strictObject({
        kind: z.literal("mqtt").describe("messages of an MQTT broker"),
        name: z.string().min(1).describe("shown on the page"),
        ...mqttConnectionKeys(),
        keepalive: quantity("duration", { min: "1 s", max: "1 h" })
          .prefault("30 s")
          .describe("a silent connection is probed this often, and given up after one and a half times as long"),
        clean_session: z
          .boolean()
          .default(true)
          .describe(
            "false: the broker keeps messages while the daemon is away; needs `client_id`, and `time` everywhere",
          ),
        status_topic: z
          .string()
          .min(1)
          .optional()
          .describe("topic on which this source says `online`, and the broker `offline` when the source is gone"),
        channels: channelsSchema.describe("which topics to read, and how"),
      })
      .superRefine(checkSession, evenIfIncomplete),
  ),

  async open(config, context) {
    const { channels, status_topic } = config;
    const topics = [...new Set(Object.values(channels).flatMap((channel) => channel?.topic ?? []))];
    const status = { qos: 1, retain: true } as const;
    const outcome = Promise.withResolvers<void>();
    const troubled = (reason: string | null) => {
      context.troubled?.(reason);
      outcome.resolve(); // there or not there: either is known now, and the rest is the link's own work
    };
    const link = await linkToBroker(config, {
      baseFolder: context.baseFolder,
      client: {
        clean: config.clean_session,
        keepalive: Math.round(config.keepalive),
        ...(status_topic !== undefined && {
          will: { topic: status_topic, payload: Buffer.from("offline"), ...status },
        }),
      },
      onUp(client) {
        client.subscribe(topics, { qos: 1 }, (error) => {
          if (!client.connected) return; // lost again meanwhile; that has been said
          const refusal = `${addressOf(config.url)}: the broker refuses a topic of ${topics.join(", ")}`;
          troubled(error === null ? null : `${refusal}: ${error.message}`);
        });
        if (status_topic !== undefined) client.publish(status_topic, "online", status);
      },
      onDown: troubled,
    });
    link.client.on("message", (topic, payload, { retain }) => {
      const message = { payload: payload.toString("utf8"), retained: retain, arrival_s: context.now_s() };
      const { readings, problems } = readMessage(topic, channels, message);
      for (const problem of problems) context.reject(problem);
      for (const reading of readings) context.emit(reading);
    });
    await outcome.promise;
    return {
      async close() {
        if (status_topic !== undefined && link.client.connected) link.client.publish(status_topic, "offline", status);
        await link.close();
      },
    };
  },
});

// Messages kept by the broker come in a burst: their arrival says nothing about when they were true.
function checkSession(config: unknown, context: z.core.$RefinementCtx): void {
  if (at(config, "clean_session") !== false) return;
  if (at(config, "client_id") === undefined) {
    report(context, ["client_id"], "expected an identifier of its own with clean_session: false, found nothing");
  }
  const channels = at(config, "channels");
  for (const [name, channel] of Object.entries(typeof channels === "object" && channels !== null ? channels : {})) {
    if (channel === undefined || at(channel, "time") !== undefined) continue;
    report(context, ["channels", name, "time"], "expected a path to the time with clean_session: false, found nothing");
  }
}
