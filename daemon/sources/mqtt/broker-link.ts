// A connection to an MQTT broker that comes back by itself, and says in plain words what keeps it away. What is
// subscribed or published on it belongs to the source and the publisher.

import type { IClientOptions, MqttClient } from "mqtt";
import { type MqttConnection, mqttClientOptions } from "../../config/mqtt-connection.ts";
import { explainBrokerError } from "./explain-broker-error.ts";

export interface BrokerLinkOptions {
  readonly baseFolder: string;
  readonly client?: IClientOptions;
  /** Connected, for the first time or again. */
  onUp(client: MqttClient): void;
  /** Not connected; the same reason may come several times while it is tried again. */
  onDown(reason: string): void;
}

export interface BrokerLink {
  readonly client: MqttClient;
  /** Says goodbye to the broker, so that it does not send the last will; at most about a second. */
  close(): Promise<void>;
}

const retry_ms = 2000;
const connectTimeout_ms = 10_000;
const farewell_ms = 1000;

/** @throws when a password or certificate file cannot be read */
export async function linkToBroker(connection: MqttConnection, options: BrokerLinkOptions): Promise<BrokerLink> {
  const clientOptions: IClientOptions = {
    ...mqttClientOptions(connection, options.baseFolder),
    reconnectPeriod: retry_ms,
    reconnectOnConnackError: true,
    connectTimeout: connectTimeout_ms,
    resubscribe: false,
    ...options.client,
  };
  const { connect } = await import("mqtt"); // 31 MB that a daemon without a broker does not need
  const client = connect(connection.url, clientOptions);
  const address = addressOf(connection.url);
  let reason: string | null = null;
  client.on("connect", () => {
    reason = null;
    sendAtOnce(client);
    options.onUp(client);
  });
  client.on("error", (error) => {
    reason = `${address}: ${explainBrokerError(error)}`;
    options.onDown(reason);
  });
  client.on("close", () => {
    if (client.disconnecting) return;
    options.onDown(reason ?? `${address}: connection lost; trying again every ${retry_ms / 1000} s`);
  });
  return { client, close: () => endLink(client) };
}

/** The broker's address without a password that may stand in it. */
export function addressOf(url: string): string {
  const { protocol, host } = new URL(url);
  return `${protocol}//${host}`;
}

// mqtt.js leaves Nagle's algorithm on: an answer that is written one tick after a receipt then waits some 40 ms for a
// delayed acknowledgement. A WebSocket sets this itself.
function sendAtOnce({ stream }: MqttClient): void {
  if ("setNoDelay" in stream && typeof stream.setNoDelay === "function") stream.setNoDelay(true);
}

async function endLink(client: MqttClient): Promise<void> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise((resolve) => {
    timer = setTimeout(resolve, farewell_ms);
  });
  await Promise.race([client.endAsync(!client.connected), late]);
  clearTimeout(timer);
  client.stream.destroy(); // a broker that answers no more would keep the process from ending
}
