// A chunk of which some channels are kept no longer: the same readings at the same places, without them.

import { type Channel, channels } from "../../../analysis/readings/reading.ts";
import { decodeChunk, encodeChunk } from "./chunk.ts";

export interface Thinned {
  /** None of these channels was in it: it is as it was. */
  readonly untouched: boolean;
  /** null when it has nothing but times left */
  readonly bytes: Uint8Array | null;
}

/** @throws {RangeError} when these are not the bytes of a chunk */
export function withoutChannels(bytes: Uint8Array, dropped: readonly Channel[]): Thinned {
  const readings = decodeChunk(bytes);
  const kept = channels.filter((channel) => !dropped.includes(channel));
  const untouched = readings.every((reading) => dropped.every((channel) => reading[channel] === null));
  if (untouched) return { untouched, bytes };
  const nothing = Object.fromEntries(dropped.map((channel) => [channel, null]));
  const isLeft = readings.some((reading) => kept.some((channel) => reading[channel] !== null));
  return { untouched, bytes: isLeft ? encodeChunk(readings.map((reading) => ({ ...reading, ...nothing }))) : null };
}
