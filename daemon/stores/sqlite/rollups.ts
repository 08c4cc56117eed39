// Roll-ups: for each minute and each hour the lowest, highest and mean level, and which readings fall into it, kept as
// readings are written. A bucket is written once when it is over, not with every reading: a card wears.

import type { DatabaseSync } from "node:sqlite";
import { type Bucket, type BucketTable, bucketTable } from "./bucket-table.ts";
import type { ReadingTable } from "./reading-table.ts";

export interface Rollups {
  minutes(): Rollup;
  hours(): Rollup;
  /** Takes the next reading that is being written, inside the transaction that writes it. */
  add(nth: number, time_s: number, level_m: number | null): void;
  /** Writes the buckets if one is over; inside the transaction that writes the readings. */
  writeFinished(): void;
  /** Writes every bucket, for a tidy end. */
  writeAll(): void;
  /** Goes back to what the file says, after a transaction that failed. */
  revert(): void;
  /** Makes every bucket anew from the readings. */
  rebuild(): void;
}

/** One resolution: the buckets in the file, and over them those still in memory. */
export interface Rollup {
  readonly bucket_s: number;
  readonly table: BucketTable;
  readonly open: ReadonlyMap<number, Bucket>;
}

export function rollups(database: DatabaseSync, readings: ReadingTable): Rollups {
  const minutes = openRollup(database, "minute", 60);
  const hours = openRollup(database, "hour", 3600);
  const progress = database.prepare("SELECT readings FROM rolledUp");
  const setProgress = database.prepare("UPDATE rolledUp SET readings = ?");
  let newest = 0; // the last reading taken in
  let inStep = false; // with the file; at first and after a failed transaction they are not

  const take = (nth: number, time_s: number, level_m: number | null) => {
    newest = nth;
    minutes.add(nth, time_s, level_m);
    hours.add(nth, time_s, level_m);
  };
  const forget = () => {
    minutes.forget();
    hours.forget();
  };
  /** Takes up the readings since buckets were last written: a minute or so of them. */
  const catchUp = () => {
    if (inStep) return;
    forget();
    newest = Number(progress.get()?.readings);
    for (const reading of readings.timesAfter(newest)) take(reading.nth, reading.time_s, reading.level_m);
    inStep = true;
  };
  const writeAll = () => {
    catchUp();
    minutes.write();
    hours.write();
    setProgress.run(newest);
  };

  return {
    minutes: () => {
      catchUp();
      return minutes;
    },
    hours: () => {
      catchUp();
      return hours;
    },
    add: (nth, time_s, level_m) => {
      // When out of step, catching up finds this reading too, for its row has been inserted.
      if (inStep) take(nth, time_s, level_m);
    },
    writeFinished: () => {
      catchUp();
      if (minutes.finished()) writeAll();
    },
    writeAll,
    revert: () => {
      inStep = false;
    },
    rebuild: () => {
      forget();
      minutes.table.clear();
      hours.table.clear();
      inStep = true;
      newest = 0;
      for (const reading of readings.timesAfter(0)) {
        take(reading.nth, reading.time_s, reading.level_m);
        if (minutes.open.size > 1000) writeAll(); // bounded memory over years of readings
      }
      writeAll();
    },
  };
}

/** A roll-up that is being added to. */
function openRollup(database: DatabaseSync, name: "minute" | "hour", bucket_s: number) {
  const table = bucketTable(database, name);
  const open = new Map<number, Bucket>();
  let current: Bucket | undefined;

  const take = (key: number, nth: number, time_s: number): Bucket => {
    const bucket = open.get(key) ?? table.get(key) ?? newBucket(key, nth, time_s);
    open.set(key, bucket);
    return bucket;
  };

  return {
    bucket_s,
    table,
    open,
    add(nth: number, time_s: number, level_m: number | null): void {
      const key = Math.floor(time_s / bucket_s);
      if (current?.bucket !== key) current = take(key, nth, time_s);
      current.lastNth = nth;
      current.from_s = Math.min(current.from_s, time_s);
      current.to_s = Math.max(current.to_s, time_s);
      if (level_m !== null && Number.isFinite(level_m)) addLevel(current, level_m);
    },
    /** A bucket is over when another one has begun. */
    finished: () => open.size > 1,
    write(): void {
      for (const bucket of open.values()) table.put(bucket);
      open.clear();
      if (current !== undefined) open.set(current.bucket, current);
    },
    forget(): void {
      open.clear();
      current = undefined;
    },
  };
}

function newBucket(bucket: number, nth: number, time_s: number): Bucket {
  const none = { levels: 0, minimum_m: null, maximum_m: null, sum_m: 0 };
  return { bucket, firstNth: nth, lastNth: nth, from_s: time_s, to_s: time_s, ...none };
}

/** Levels are summed one by one in their order, so that a sum does not depend on when buckets were written. */
function addLevel(bucket: Bucket, level_m: number): void {
  bucket.levels += 1;
  bucket.sum_m += level_m;
  bucket.minimum_m = Math.min(bucket.minimum_m ?? level_m, level_m);
  bucket.maximum_m = Math.max(bucket.maximum_m ?? level_m, level_m);
}
