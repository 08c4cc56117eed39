// Channels that are kept for a shorter time than others: taken out of chunks that have become too old for them, the
// oldest first, some chunks at a time. How far that has come stands in the file.

import type { DatabaseSync } from "node:sqlite";
import { type Channel, channels } from "../../../analysis/readings/reading.ts";
import { withoutChannels } from "../chunk/without-channels.ts";
import type { StoreOptions } from "../store.ts";
import { StoreError } from "../store-error.ts";
import { number } from "./row.ts";

/** How long each channel is kept; infinity for ever. */
export type Kept = ReadonlyMap<Channel, number>;

export interface ChannelRetention {
  /** Takes out what is older than it is kept, counted from `newest_s`; never of the newest chunk. */
  dropOlder(kept: Kept, newest_s: number): void;
}

/** More than come in the same time, so that it comes to an end; few, for each is coded anew. */
const mostThinned = 4;

export function keptChannels({
  keepReadings_s = Number.POSITIVE_INFINITY,
  keepChannels_s = {},
}: Pick<StoreOptions, "keepReadings_s" | "keepChannels_s">): Kept {
  return new Map(channels.map((channel) => [channel, keepChannels_s[channel] ?? keepReadings_s]));
}

export function longestKept_s(kept: Kept): number {
  return Math.max(...kept.values());
}

export function channelRetention(database: DatabaseSync): ChannelRetention {
  const arrays = { returnArrays: true };
  const marks = database.prepare("SELECT channel, lookedTo FROM dropped", arrays);
  const next = database.prepare(
    `SELECT firstNth, readings, to_s, body FROM chunk
     WHERE firstNth > ? AND firstNth < (SELECT max(firstNth) FROM chunk) ORDER BY firstNth LIMIT ${mostThinned}`,
    arrays,
  );
  const replace = database.prepare("UPDATE chunk SET body = ? WHERE firstNth = ?");
  const remove = database.prepare("DELETE FROM chunk WHERE firstNth = ?");
  const mark = database.prepare(
    `INSERT INTO dropped VALUES (?1, ?2, ?3)
     ON CONFLICT DO UPDATE SET lookedTo = max(lookedTo, ?2), lostTo = max(lostTo, ?3)`,
  );

  /** Channels that are kept equally long, from where the one of them that is furthest behind stands. */
  function thin(some: readonly Channel[], before_s: number): void {
    const lookedTo = new Map(marks.all().map((row) => [row[0], number(row[1])]));
    const from = Math.min(...some.map((channel) => lookedTo.get(channel) ?? 0));
    for (const row of next.all(from)) {
      const [first, body] = [number(row[0]), row[3]];
      if (number(row[2]) >= before_s) return;
      if (!(body instanceof Uint8Array)) throw new StoreError("the store holds a chunk without a body; it is damaged");
      const last = first + number(row[1]) - 1;
      const { untouched, bytes } = withoutChannels(body, some);
      if (bytes === null) remove.run(first);
      else if (!untouched) replace.run(bytes, first);
      for (const channel of some) mark.run(channel, last, untouched ? 0 : last);
    }
  }

  return {
    dropOlder(kept, newest_s) {
      const longest_s = longestKept_s(kept);
      const shorter = new Set([...kept.values()].filter((keep_s) => keep_s < longest_s));
      for (const keep_s of shorter) {
        thin(
          channels.filter((channel) => kept.get(channel) === keep_s),
          newest_s - keep_s,
        );
      }
    },
  };
}
