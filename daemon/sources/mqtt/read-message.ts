// One MQTT message → the readings in it, and one line for each thing in it that cannot be read. Pure.

import type { Reading } from "../../../analysis/readings/reading.ts";
import { describeFound } from "../../config/explain-issue.ts";
import { parseDecimal } from "../../recordings/decimal.ts";
import { channelNames } from "../channel-names.ts";
import type { SourceReading } from "../source.ts";
import { type Channels, channelToSi, type MeasuredChannel, type SwitchChannel } from "./channel-schema.ts";
import { type JsonPath, pathText, valueAt } from "./json-path.ts";
import { readTime } from "./read-time.ts";

export interface Message {
  readonly payload: string;
  /** The broker kept it from before; it did not just arrive from the device. */
  readonly retained: boolean;
  readonly arrival_s: number;
}

export interface MessageContent {
  readonly readings: readonly SourceReading[];
  /** What is wrong, each with topic, what is expected and what was found. */
  readonly problems: readonly string[];
}

/** What is wrong with a message; the topic is put before it. */
class Unreadable extends Error {}

/** The largest message that is looked at, in characters. */
const longest = 65_536;

export function readMessage(topic: string, channels: Channels, message: Message): MessageContent {
  const readings = new Map<number, { -readonly [K in keyof Reading]?: Reading[K] } & { time_s: number }>();
  const problems: string[] = [];
  for (const name of Object.keys(channelNames) as (keyof typeof channelNames)[]) {
    const channel = channels[name];
    if (channel === undefined || channel.topic !== topic) continue;
    if (message.retained && !channel.retained && channel.time === undefined) continue;
    try {
      const value = readChannel(channel, message.payload);
      const time_s = channel.time === undefined ? message.arrival_s : readTimeAt(channel.time, message);
      const reading = readings.get(time_s) ?? { time_s };
      readings.set(time_s, Object.assign(reading, { [channelNames[name]]: value }));
    } catch (error) {
      if (!(error instanceof Unreadable)) throw error;
      problems.push(`topic ${topic}: ${error.message}`);
    }
  }
  return { readings: [...readings.values()], problems };
}

function readChannel(channel: SwitchChannel | MeasuredChannel, payload: string): boolean | number | null {
  const expected =
    "unit" in channel ? `a number in ${channel.unit}` : "on or off, true or false, 1 or 0, open or closed";
  const found = find(channel.path, payload, expected);
  if (found === null) return null; // the device says that it does not know
  const value = "unit" in channel ? readMeasured(channel, found) : readSwitch(channel, found);
  if (value !== undefined) return value;
  const where = channel.path === undefined ? "" : ` at ${pathText(channel.path)}`;
  throw new Unreadable(`expected ${expected}${where}, found ${describeFound(found)}`);
}

function readMeasured({ unit, scale, offset }: MeasuredChannel, found: unknown): number | undefined {
  const number = typeof found === "string" ? parseDecimal(found.trim()) : found;
  if (typeof number !== "number") return undefined;
  const value = channelToSi(number * scale + offset, unit);
  return Number.isFinite(value) ? value : undefined;
}

// A closed contact means yes.
const words: ReadonlyMap<unknown, boolean> = new Map<unknown, boolean>([
  ...["on", "true", "1", "closed", 1, true].map((word) => [word, true] as const),
  ...["off", "false", "0", "open", 0, false].map((word) => [word, false] as const),
]);

function readSwitch({ invert }: SwitchChannel, found: unknown): boolean | undefined {
  const value = words.get(typeof found === "string" ? found.trim().toLowerCase() : found);
  return value === undefined ? undefined : value !== invert;
}

function readTimeAt(path: JsonPath, { payload, arrival_s }: Message): number {
  const time = readTime(find(path, payload, "a time"), arrival_s);
  if (typeof time === "number") return time;
  throw new Unreadable(`expected ${time.expected} at ${pathText(path)}, found ${time.found}`);
}

function find(path: JsonPath | undefined, payload: string, expected: string): unknown {
  if (payload.length > longest) {
    throw new Unreadable(`expected at most ${longest} characters, found ${payload.length}`);
  }
  if (path === undefined) return payload.trim() === "null" ? null : payload;
  try {
    return valueAt(JSON.parse(payload), path);
  } catch {
    throw new Unreadable(`expected JSON with ${expected} at ${pathText(path)}, found ${describeFound(payload)}`);
  }
}
