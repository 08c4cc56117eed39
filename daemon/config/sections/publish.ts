// The `publish` group of the site file: where the daemon tells others what it knows.

import * as z from "zod";
import { at, evenIfIncomplete, report } from "../cross-check.ts";
import { checkMqttConnection, mqttConnectionKeys } from "../mqtt-connection.ts";

const mqtt = () =>
  z
    .strictObject({
      ...mqttConnectionKeys(),
      topic_prefix: z
        .string()
        .min(1)
        .max(200)
        .optional()
        .describe("beginning of every topic; by default `undercroft/` and the site's name in small letters and dashes"),
      acknowledge: z
        .boolean()
        .default(false)
        .describe(
          "alarms are answered by whoever may write on `<topic_prefix>/acknowledge/<alarm>`: the central view; only on a broker that lets in nobody else",
        ),
      shelve: z
        .boolean()
        .default(false)
        .describe(
          "the same for shelving, on `<topic_prefix>/shelve/<alarm>`: nobody is told of what is shelved, for 8 h, 3 days or 30 days at most by its priority",
        ),
    })
    .superRefine(checkMqttConnection, evenIfIncomplete)
    .superRefine(checkTopicPrefix, evenIfIncomplete);

export const publishSchema = () => z.strictObject({ mqtt: mqtt().optional() });

function checkTopicPrefix(publish: unknown, context: z.core.$RefinementCtx): void {
  const prefix = at(publish, "topic_prefix");
  if (typeof prefix !== "string" || !/[+#\0]|^[/$]|\/$/.test(prefix)) return;
  const expected = "expected a topic without + and #, that neither begins with / or $ nor ends with /";
  report(context, ["topic_prefix"], `${expected}, found ${JSON.stringify(prefix)}`);
}
