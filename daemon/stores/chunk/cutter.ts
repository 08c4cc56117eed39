// Cuts readings, as they come, into chunks that just fill a page of the card. How many that are is learned from the
// chunks before, so that few are coded twice.

import type { Reading } from "../../../analysis/readings/reading.ts";
import { encodeChunk } from "./chunk.ts";

export interface Chunk {
  readonly count: number;
  readonly bytes: Uint8Array;
}

export interface Cutter {
  /** Whether so many readings may be enough for a chunk. */
  isDue(waiting: number): boolean;
  /** The next chunk, of readings from that place on; null when they do not fill one yet. */
  cut(readings: readonly Reading[], from?: number): Chunk | null;
}

/** With its row's head and its place in the page, such a chunk takes all of a page of 4096 bytes. */
export const pageful_B = 4040;
const fullEnough = 0.99 * pageful_B;
/** A sensor that stands still fills no page in days: memory is bounded. */
const mostReadings = 8192;

export function cutter(): Cutter {
  let tryAt = 256;

  return {
    isDue: (waiting) => waiting >= tryAt,
    cut(readings, from = 0) {
      while (readings.length - from >= tryAt) {
        const count = Math.min(tryAt, mostReadings);
        const bytes = encodeChunk(readings.slice(from, from + count));
        if (bytes.length > pageful_B) return cutShorter(readings, from, count, bytes.length);
        if (bytes.length >= fullEnough || count === mostReadings) return cutHere(count, bytes);
        const more = Math.floor((0.998 * (pageful_B - bytes.length) * count) / bytes.length);
        tryAt = Math.min(mostReadings, count + Math.max(1, more));
      }
      return null;
    },
  };

  function cutShorter(readings: readonly Reading[], from: number, tooMany: number, length: number): Chunk {
    let count = tooMany;
    let bytes: Uint8Array;
    let found = length;
    do {
      count = Math.max(1, Math.min(count - 1, Math.floor((0.998 * count * pageful_B) / found)));
      bytes = encodeChunk(readings.slice(from, from + count));
      found = bytes.length;
    } while (found > pageful_B && count > 1);
    return cutHere(count, bytes);
  }

  function cutHere(count: number, bytes: Uint8Array): Chunk {
    tryAt = Math.max(64, Math.floor(0.998 * count));
    return { count, bytes };
  }
}
