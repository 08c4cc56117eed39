// The contract of a store: readings are the truth, cycles, findings and inflow are derived from them and can be
// rebuilt. One store belongs to one daemon at a time.

import type { InflowStretch } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import type { Channel, Reading } from "../../analysis/readings/reading.ts";
import type { ReadingRows } from "../../analysis/readings/reading-rows.ts";

export interface Span {
  readonly from_s: number;
  readonly to_s: number;
}

export function overlap(one: Span, other: Span): boolean {
  return one.from_s <= other.to_s && one.to_s >= other.from_s;
}

/** Level in buckets of equal length, oldest first; a bucket without a reading is left out. Equal-length columns. */
export interface LevelSeries {
  readonly bucket_s: number;
  /** Start of each bucket; with `bucket_s` 0 each entry is one reading and minimum, maximum and mean are equal. */
  readonly time_s: readonly number[];
  readonly minimum_m: readonly number[];
  readonly maximum_m: readonly number[];
  readonly mean_m: readonly number[];
}

/** So many points of inflow: not what was joined when the single stretches were dropped for their age. */
export const singleAlone = Number.MAX_SAFE_INTEGER;

/** The state of the analysis at a certain reading, from which it carries on after a restart. */
export interface Checkpoint {
  readonly state: unknown;
  /**
   * How many readings of the store had been pushed (`readingCount()` at that moment, for a store may lose some); the
   * readings after them are pushed again on resume.
   */
  readonly readingsSeen: number;
}

export interface StoreHealth {
  readonly state: "writing" | "holding";
  /** Readings held in memory because the disk is full or the file is locked. */
  readonly held: number;
  /** Readings given up because more were held than memory allows. */
  readonly lost: number;
  readonly error: string | null;
  readonly since_s: number | null;
}

/** How far a record stands in a shared database. */
export interface ForwardPlace {
  /** Which database, and under which name there. */
  readonly target: string;
  /** So many of the first readings are there. */
  readonly readings: number;
  /** What the forwarder remembers of those readings, as JSON of its own. */
  readonly state: string;
  /** What begins before is there, as it stands here. */
  readonly cyclesTo_s: number;
  readonly findingsTo_s: number;
  readonly inflowTo_s: number;
  /** What is derived has been derived anew from this time on: what is there may hold more. Null when it has not. */
  readonly anewFrom_s: number | null;
}

/** A copy was put in the record's place: what had been recorded between its end and that of what was there is not in it. */
export interface PutBack extends Span {
  readonly at_s: number;
  /** Name of the file that has what was there; null where there was none. */
  readonly aside: string | null;
}

/** What forwarding must know of a record, and keeps with it. */
export interface ForwardNotes {
  /** This record's own name, sixteen hexadecimal digits. */
  board(): string;
  /**
   * Of all readings ever appended, so many of the first have been dropped for their age, and up to `last` they outlive
   * the process.
   */
  kept(): { readonly dropped: number; readonly last: number };
  place(): ForwardPlace | null;
  /**
   * In the file with the next chunk or checkpoint, for which the card is written anyway. Of readings that the file does
   * not have yet none are counted there: the newest place that counts no more is kept for them. What was derived after
   * that checkpoint is derived, and saved, again after a restart.
   */
  savePlace(place: ForwardPlace): void;
}

/** Rows of a recording on their way in: all of them, or none. */
export interface Intake {
  /** Rows [from, to), of the same channels each time and in order of time. */
  take(rows: ReadingRows, from: number, to: number): void;
  /** All of them are on the card when it returns. */
  end(): void;
  /** The store is as it was before. */
  abandon(): void;
}

export interface Store {
  /**
   * Takes readings in the order they are analysed, each before what is derived from it is saved: a saved cycle then
   * never stands on the card without its readings. Outlives the process within a second and the power within a minute,
   * or is held, which `health()` says.
   */
  append(reading: Reading): void;
  /** On the card when it returns (unless the store holds: then as soon as that clears). Replaces one of the same start. */
  saveCycle(cycle: Cycle): void;
  /** On the card when it returns, as a cycle. Replaces one of the same kind and beginning. */
  saveFinding(finding: Finding): void;
  /** Replaces one of the same beginning. On the card with the next checkpoint, from which it can be derived again. */
  saveInflow(stretch: InflowStretch): void;
  /** On the card when it returns, with everything before it. Replaces the one before. */
  saveCheckpoint(checkpoint: Checkpoint): void;
  checkpoint(): Checkpoint | null;

  /** Readings in the order in which they were appended, from the n-th on. Reads as it goes, in bounded memory. */
  readings(fromNth?: number): Iterable<Reading>;
  /** Those of the span, in that order; as bounded, and without going through the ones long before it. */
  readingsWithin(span: Span): Iterable<Reading>;
  readingCount(): number;
  /**
   * Of so many of the first readings some have been dropped, or a channel has, because they are kept no longer: what is
   * derived anew begins after them.
   */
  readingsDropped(): number;
  /** First and last time of the record; null when empty. */
  span(): Span | null;
  level(span: Span, points: number): LevelSeries;
  /** Cycles whose run overlaps the span, newest first, at most `limit`. */
  cycles(span: Span, limit: number): Cycle[];
  /**
   * Stretches that overlap the span, oldest first, thinned to about `points` by time-weighted means; of `singleAlone`
   * points those that are kept one by one, without the joined ones of the time before them.
   */
  inflow(span: Span, points: number): InflowStretch[];
  /** Findings that overlap the span, newest first, at most `limit`. */
  findings(span: Span, limit: number): Finding[];

  readonly forward: ForwardNotes;
  /** The last time that a copy was put in its place; null: never. */
  putBack(): PutBack | null;

  /**
   * Takes in rows of a recording, quicker than readings one by one; until it has ended, or was abandoned, nothing else
   * is asked of the store. What the disk does not take is thrown, not held, and nothing of the recording is then there.
   */
  intake(): Intake;
  /** Empties everything derived (cycles, findings, inflow, checkpoint, roll-ups) and fills it anew in one transaction. */
  rebuild(fill: () => void): void;
  /** Puts what waits on the card. */
  flush(): void;
  health(): StoreHealth;
  close(): void;
}

/** How a store waits and holds; what it does by default suits a board. */
export interface StoreOptions {
  /** After so long at most readings outlive the process; 900 by default. */
  readonly writeAfter_ms?: number;
  /** And after so long the power: they are on the card; 60,000 by default, for each time wears it. */
  readonly flushAfter_ms?: number;
  /** A write over which the card takes so long is spoken of; 2000 by default. */
  readonly slowAfter_ms?: number;
  /** After a fault, how long until the next attempt; 1000 by default. */
  readonly retryAfter_ms?: number;
  /**
   * Readings held in memory while the disk is full or the file locked; beyond it the oldest are given up. By default
   * 200,000: two days at one a second, about 30 MB.
   */
  readonly mostHeld?: number;
  /**
   * Readings older than this, counted from the newest, are dropped, and single stretches of inflow with them; roll-ups,
   * cycles and findings stay. For ever by default.
   */
  readonly keepReadings_s?: number;
  /** Channels that are kept longer or shorter than that. */
  readonly keepChannels_s?: Partial<Readonly<Record<Channel, number>>>;
  /** Unix time, for `health()`. */
  readonly now_s?: () => number;
  /** Told when a fault begins and when it has cleared. */
  readonly log?: (message: string) => void;
}
