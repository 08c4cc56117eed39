// The reading half of a store, for those who wait for its answers: the page's routes on the board, and the view of many
// basins on a shared database. A `Store` gives one by `recordReader`.

import { setImmediate } from "node:timers/promises";
import type { InflowStretch } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import type { RainStretch } from "../../analysis/storms/rain.ts";
import { rainMemory } from "./rain-memory.ts";
import type { LevelSeries, Span, Store } from "./store.ts";

/** Each answers as the `Store`'s own of that name, or fails with a `StoreError` in one sentence for a person. */
export interface RecordReader {
  /** First and last time of the record; null when empty. */
  span(): Promise<Span | null>;
  level(span: Span, points: number): Promise<LevelSeries>;
  /** Cycles whose run overlaps the span, newest first, at most `limit`. */
  cycles(span: Span, limit: number): Promise<Cycle[]>;
  /** Stretches that overlap the span, oldest first, thinned to about `points` by time-weighted means. */
  inflow(span: Span, points: number): Promise<InflowStretch[]>;
  /** Findings that overlap the span, newest first, at most `limit`. */
  findings(span: Span, limit: number): Promise<Finding[]>;
  /** Readings of the span, some at a time, each batch in bounded memory; in the order in which they came. */
  readings(span: Span): AsyncIterable<readonly Reading[]>;
  /** Rain of the whole record, oldest first; null when no reading ever had rain, not even 0. */
  rain(): Promise<RainStretch[] | null>;
}

export type ReadableStore = Pick<
  Store,
  "span" | "level" | "cycles" | "inflow" | "findings" | "readingsWithin" | "readings" | "readingCount"
>;

/** Some ten milliseconds of a small board's time. */
const batch = 10_000;

/** The reader of a store that answers at once. */
export function recordReader(store: ReadableStore): RecordReader {
  return {
    span: async () => store.span(),
    level: async (span, points) => store.level(span, points),
    cycles: async (span, limit) => store.cycles(span, limit),
    inflow: async (span, points) => store.inflow(span, points),
    findings: async (span, limit) => store.findings(span, limit),
    async *readings(span) {
      let some: Reading[] = [];
      for (const reading of store.readingsWithin(span)) {
        some.push(reading);
        if (some.length < batch) continue;
        yield some;
        some = [];
        await setImmediate(); // others have their turn
      }
      if (some.length > 0) yield some;
    },
    rain: rainMemory(store),
  };
}
