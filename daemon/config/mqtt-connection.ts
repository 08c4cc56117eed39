// How to reach an MQTT broker: the keys that the `mqtt` source and `publish.mqtt` share, and the client options that
// they come to. Topics, and what to do when the broker goes away, belong to those who use it.

import type { IClientOptions } from "mqtt";
import * as z from "zod";
import { has, report } from "./cross-check.ts";
import { describeFound } from "./explain-issue.ts";
import { readNamedFile, readSecret } from "./named-file.ts";

/** Spread into a strict object of one's own: `z.strictObject({ ...mqttConnectionKeys(), topic: … })`. */
export const mqttConnectionKeys = () => ({
  url: z
    .url({
      protocol: /^(mqtts?|wss?)$/,
      error: ({ input }) =>
        `expected a broker's address such as mqtt://broker.local:1883, found ${describeFound(input)}`,
    })
    .describe("address of the broker: `mqtt://`, `mqtts://`, `ws://` or `wss://`"),
  username: z.string().min(1).optional().describe("user name at the broker"),
  password: z.string().min(1).optional().describe("password at the broker; better in a file of its own"),
  password_file: z.string().min(1).optional().describe("file whose first line is the password"),
  client_id: z.string().min(1).max(65535).optional().describe("client identifier; by default a new one each time"),
  tls: z
    .strictObject({
      ca: z.string().min(1).optional().describe("file with the authority's certificate (PEM)"),
      cert: z.string().min(1).optional().describe("file with this board's certificate (PEM)"),
      key: z.string().min(1).optional().describe("file with this board's private key (PEM)"),
      reject_unauthorized: z.boolean().default(true).describe("refuse a broker whose certificate does not check out"),
    })
    .optional()
    .describe("for `mqtts://` and `wss://`"),
});

export type MqttConnection = z.output<z.ZodObject<ReturnType<typeof mqttConnectionKeys>>>;

/** What one key cannot say alone; for `superRefine(checkMqttConnection, evenIfIncomplete)` of the object spread into. */
export function checkMqttConnection(connection: unknown, context: z.core.$RefinementCtx): void {
  const given = (...path: string[]) => has(connection, ...path);
  if (given("password") && given("password_file")) {
    report(context, ["password_file"], "expected either password or password_file, found both");
  }
  if ((given("password") || given("password_file")) && !given("username")) {
    report(context, [], "expected a username with the password, found none");
  }
  if (given("tls", "cert") !== given("tls", "key")) {
    report(context, ["tls"], "expected cert and key together, found only one of them");
  }
}

/**
 * The options for `mqtt.connect(connection.url, …)`. Reads the password and certificate files, so that a file that is
 * missing now and there later is found when the connection is tried again.
 *
 * @param baseFolder where relative paths start
 * @throws when a file cannot be read
 */
export function mqttClientOptions(connection: MqttConnection, baseFolder: string): IClientOptions {
  const { tls } = connection;
  const read = (key: string, path: string) => readNamedFile(key, path, baseFolder);
  const password =
    connection.password_file === undefined
      ? connection.password
      : readSecret("password_file", connection.password_file, baseFolder);
  return {
    ...(connection.username !== undefined && { username: connection.username }),
    ...(password !== undefined && { password }),
    ...(connection.client_id !== undefined && { clientId: connection.client_id }),
    ...(tls?.ca !== undefined && { ca: read("tls.ca", tls.ca) }),
    ...(tls?.cert !== undefined && { cert: read("tls.cert", tls.cert) }),
    ...(tls?.key !== undefined && { key: read("tls.key", tls.key) }),
    ...(tls !== undefined && { rejectUnauthorized: tls.reject_unauthorized }),
  };
}
