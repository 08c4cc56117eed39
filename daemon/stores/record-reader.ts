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
import { unreadable } from "./unreadable.ts";

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
  const rain = rainMemory(store);
  return {
    span: () => read(() => store.span()),
    level: (span, points) => read(() => store.level(span, points)),
    cycles: (span, limit) => read(() => store.cycles(span, limit)),
    inflow: (span, points) => read(() => store.inflow(span, points)),
    findings: (span, limit) => read(() => store.findings(span, limit)),
    async *readings(span) {
      const all = store.readingsWithin(span)[Symbol.iterator]();
      for (;;) {
        const some = await read(() => nextOf(all));
        if (some.length > 0) yield some;
        if (some.length < batch) return;
        await setImmediate(); // others have their turn
      }
    },
    rain: () => read(rain),
  };
}

async function read<T>(work: () => T | Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    throw unreadable(error);
  }
}

function nextOf(all: Iterator<Reading>): Reading[] {
  const some: Reading[] = [];
  while (some.length < batch) {
    const { value, done } = all.next();
    if (done === true) break;
    some.push(value);
  }
  return some;
}
