// Listens to any MQTT broker: each channel of the site file has a topic, and a message on it becomes a reading.
// A message that cannot be read is counted and said; the broker's absence is shown, and ends by itself.

import * as z from "zod";
import { at, evenIfIncomplete, report } from "../config/cross-check.ts";
import { mqttConnectionShape } from "../config/mqtt-connection.ts";
import { quantity } from "../config/quantity.ts";
import { channelsSchema } from "./mqtt/channel-schema.ts";
import { defineSource } from "./source.ts";

export const mqtt = defineSource({
  kind: "mqtt",

  config: z
    .strictObject({
      kind: z.literal("mqtt").describe("messages of an MQTT broker"),
      name: z.string().min(1).describe("shown on the page"),
      ...mqttConnectionShape,
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

  open() {
    throw new Error("mqtt: not there yet");
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
