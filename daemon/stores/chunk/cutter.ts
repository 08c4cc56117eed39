// Cuts readings, as they come, into chunks that just fill the pages of the card they get. How many readings that are is
// learned from the chunks before, so that few are coded twice.

export interface Chunk {
  readonly count: number;
  readonly bytes: Uint8Array;
}

export interface Cutter {
  /** Whether so many readings may be enough for a chunk. */
  isDue(waiting: number): boolean;
  /**
   * The next chunk, of the first of so many that wait; null when they do not fill one yet.
   * @param encode as a chunk, the first `count` of them
   */
  cut(waiting: number, encode: (count: number) => Uint8Array): Chunk | null;
}

/**
 * Two pages of 4096 bytes, full but for the number of the next, and what SQLite leaves of such a row beside it: 489
 * bytes and the row's head, of which eight fill a page of their own (https://sqlite.org/fileformat2.html#b_tree_pages).
 * In one page a chunk would leave the more room over, and tables of its code beside fewer readings.
 */
export const fullChunk_B = 8664;
const fullEnough_B = fullChunk_B - 48;
/** A sensor that stands still fills no page in days: memory is bounded. */
export const mostReadings = 16_384;

export function cutter(): Cutter {
  let tryAt = 256;

  return {
    isDue: (waiting) => waiting >= tryAt,
    cut(waiting, encode) {
      while (waiting >= tryAt) {
        const count = Math.min(tryAt, mostReadings);
        const bytes = encode(count);
        if (bytes.length > fullChunk_B) return cutShorter(encode, count, bytes.length);
        if (bytes.length >= fullEnough_B || count === mostReadings) return cutHere(count, bytes);
        const more = Math.floor((0.998 * (fullChunk_B - bytes.length) * count) / bytes.length);
        tryAt = Math.min(mostReadings, count + Math.max(1, more));
      }
      return null;
    },
  };

  function cutShorter(encode: (count: number) => Uint8Array, tooMany: number, length: number): Chunk {
    let count = tooMany;
    let bytes: Uint8Array;
    let found = length;
    do {
      count = Math.max(1, Math.min(count - 1, Math.floor((0.998 * count * fullChunk_B) / found)));
      bytes = encode(count);
      found = bytes.length;
    } while (found > fullChunk_B && count > 1);
    return cutHere(count, bytes);
  }

  function cutHere(count: number, bytes: Uint8Array): Chunk {
    tryAt = Math.max(64, Math.floor(0.998 * count));
    return { count, bytes };
  }
}
