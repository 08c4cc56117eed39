// Levels of chunks into the buckets of a chart. What a chunk comes to minute by minute is remembered, for a chunk never
// changes and a page asks for the same day again and again: half a megabyte at most, made as it is asked for.

import { foldLevels } from "../chunk/fold-levels.ts";
import { type LevelFold, levelFold } from "../level-fold.ts";
import type { Span } from "../store.ts";
import type { ChunkExtent, ChunkTable } from "./chunk-table.ts";

export interface ChunkLevels {
  /** The extent's levels within its span. */
  addTo(fold: LevelFold, extent: ChunkExtent): void;
  /** So many minutes are remembered. */
  remembered(): number;
}

const minute_s = 60;

/** Eleven days; 32 bytes each. */
const mostMinutes = 16_384;
/** A chunk of slow readings spans more: it has few of them a minute, and nothing is gained. */
const mostOfChunk = 2048;

export function chunkLevels(chunks: Pick<ChunkTable, "among" | "bytes">): ChunkLevels {
  const byChunk = new Map<number, LevelFold>(); // by the place of the first reading; the one asked for longest ago first
  let minutes = 0;

  function inMinutes(firstNth: number, span: Span): LevelFold {
    const found = byChunk.get(firstNth);
    const fold = found ?? made(firstNth, span);
    if (found === undefined) minutes += fold.length;
    else byChunk.delete(firstNth);
    byChunk.set(firstNth, fold); // the last to be forgotten
    return fold;
  }

  function made(firstNth: number, span: Span): LevelFold {
    const fold = levelFold(Math.floor(span.from_s / minute_s) * minute_s, minute_s, span.to_s);
    foldLevels(chunks.bytes(firstNth), fold, span);
    return fold;
  }

  function forgetSome(): void {
    for (const [firstNth, fold] of byChunk) {
      if (minutes <= mostMinutes) return;
      minutes -= fold.length;
      byChunk.delete(firstNth);
    }
  }

  return {
    addTo(fold, extent) {
      const byMinutes = fold.bucket_s % minute_s === 0 && fold.origin_s % minute_s === 0;
      for (const { firstNth, ...span } of chunks.among(extent)) {
        const isWhole = span.from_s >= extent.from_s && span.to_s <= extent.to_s;
        if (byMinutes && isWhole && minutesOf(span) <= mostOfChunk) fold.addFold(inMinutes(firstNth, span));
        else foldLevels(chunks.bytes(firstNth), fold, extent);
      }
      forgetSome();
    },
    remembered: () => minutes,
  };
}

function minutesOf({ from_s, to_s }: Span): number {
  return Math.floor(to_s / minute_s) - Math.floor(from_s / minute_s) + 1;
}
