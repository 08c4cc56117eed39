// What is not in the database yet, in order and in bounded memory: until it fills a page as a rule, for longer while the
// disk is full.

import type { InflowStretch } from "../../../analysis/analyzer.ts";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import type { Reading } from "../../../analysis/readings/reading.ts";
import type { FrozenCheckpoint } from "./checkpoint-table.ts";
import { type RecentPlaces, recentPlaces } from "./recent-places.ts";

/** Derived rows of one sort held at most: years of cycles, and rebuilt from the readings if it should be more. */
const mostDerived = 20_000;

export interface Waiting {
  readonly readings: Reading[];
  readonly cycles: KeyedQueue<Cycle>;
  readonly findings: KeyedQueue<Finding>;
  readonly inflow: KeyedQueue<InflowStretch>;
  checkpoint: FrozenCheckpoint | null;
  readonly forward: RecentPlaces;
}

/** Keeps the newest of each key, in the order of first coming. */
export interface KeyedQueue<T> {
  add(item: T): void;
  items(): Iterable<T>;
  /** Rows as the file has them, with what waits over them. */
  over(rows: readonly T[]): T[];
  size(): number;
  clear(): void;
}

export function nothingWaiting(): Waiting {
  return {
    readings: [],
    cycles: keyedQueue((cycle) => cycle.startedAt_s),
    findings: keyedQueue((finding) => `${finding.kind} ${finding.from_s}`),
    inflow: keyedQueue((stretch) => stretch.from_s),
    checkpoint: null,
    forward: recentPlaces(),
  };
}

export function nothingDerived({ cycles, findings, inflow, checkpoint }: Waiting): boolean {
  return checkpoint === null && cycles.size() + findings.size() + inflow.size() === 0;
}

export function clearDerived(waiting: Waiting): void {
  for (const queue of [waiting.cycles, waiting.findings, waiting.inflow]) queue.clear();
  waiting.checkpoint = null;
}

/**
 * Gives up the oldest readings beyond `most`; a hundredth of it more than needed, so that it is seldom done.
 *
 * @param written readings that stand in the file, before those that wait
 * @param kept    the first of those that wait, which are on the card all the same and are not given up
 * @returns how many were given up
 */
export function giveUpOldest(waiting: Waiting, most: number, written: number, kept = 0): number {
  if (waiting.readings.length <= most) return 0;
  const tooMany = waiting.readings.length - most + Math.floor(most / 100);
  const lost = waiting.readings.splice(kept, tooMany).length;
  const { checkpoint } = waiting;
  if (checkpoint !== null) {
    // The checkpoint counts rows; those that it has seen and that will never be rows are counted out.
    const seen = Math.min(lost, Math.max(0, checkpoint.readingsSeen - written - kept));
    waiting.checkpoint = { ...checkpoint, readingsSeen: checkpoint.readingsSeen - seen };
  }
  return lost;
}

function keyedQueue<T>(keyOf: (item: T) => number | string): KeyedQueue<T> {
  const items = new Map<number | string, T>();
  return {
    add(item) {
      items.set(keyOf(item), item);
      if (items.size <= mostDerived) return;
      for (const oldest of items.keys()) {
        items.delete(oldest);
        return;
      }
    },
    items: () => items.values(),
    over: (rows) =>
      items.size === 0 ? [...rows] : [...rows.filter((row) => !items.has(keyOf(row))), ...items.values()],
    size: () => items.size,
    clear: () => items.clear(),
  };
}
