// The rows of one roll-up: buckets of equal length, keyed by their number since 1970.

import type { DatabaseSync } from "node:sqlite";
import { number, numberOrNull, type Row } from "./row.ts";

export interface Bucket {
  /** Number of the bucket: its start is `bucket` × its length. */
  readonly bucket: number;
  /** All readings of the bucket are among these rows; others may be too, where time stepped back. */
  readonly firstNth: number;
  lastNth: number;
  /** Earliest and latest time of its readings. */
  from_s: number;
  to_s: number;
  /** How many readings carried a level; without one there is no minimum and no maximum. */
  levels: number;
  minimum_m: number | null;
  maximum_m: number | null;
  sum_m: number;
}

/** What several buckets have in common. */
export interface Extent {
  readonly levels: number;
  readonly firstNth: number;
  readonly lastNth: number;
}

/** Several buckets in one. */
export interface Group {
  readonly group: number;
  readonly levels: number;
  readonly minimum_m: number;
  readonly maximum_m: number;
  readonly sum_m: number;
}

export interface BucketTable {
  get(bucket: number): Bucket | undefined;
  put(bucket: Bucket): void;
  clear(): void;
  first(): Bucket | undefined;
  last(): Bucket | undefined;
  /** Of buckets `from` to `to` without those in `except`; undefined when there are none. */
  extent(from: number, to: number, except: readonly number[]): Extent | undefined;
  /** Buckets `from` to `to` without those in `except`, `perGroup` at a time counted from `origin`; only with a level. */
  groups(origin: number, from: number, to: number, except: readonly number[], perGroup: number): Group[];
}

export function bucketTable(database: DatabaseSync, name: "minute" | "hour"): BucketTable {
  const arrays = { returnArrays: true };
  const get = database.prepare(`SELECT * FROM ${name} WHERE bucket = ?`, arrays);
  const put = database.prepare(`REPLACE INTO ${name} VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`);
  const clear = database.prepare(`DELETE FROM ${name}`);
  const first = database.prepare(`SELECT * FROM ${name} ORDER BY bucket LIMIT 1`, arrays);
  const last = database.prepare(`SELECT * FROM ${name} ORDER BY bucket DESC LIMIT 1`, arrays);
  const chosen = "bucket BETWEEN ?1 AND ?2 AND bucket NOT IN (SELECT value FROM json_each(?3))";
  const extent = database.prepare(
    `SELECT sum(levels), min(firstNth), max(lastNth) FROM ${name} WHERE ${chosen}`,
    arrays,
  );
  const groups = database.prepare(
    `SELECT (bucket - CAST(?4 AS INTEGER)) / CAST(?5 AS INTEGER), sum(levels), min(minimum_m), max(maximum_m), sum(sum_m) FROM ${name}
     WHERE ${chosen} AND levels > 0 GROUP BY 1`,
    arrays,
  );

  return {
    get: (bucket) => bucketOf(get.get(bucket)),
    put: (b) => {
      put.run(b.bucket, b.firstNth, b.lastNth, b.from_s, b.to_s, b.levels, b.minimum_m, b.maximum_m, b.sum_m);
    },
    clear: () => {
      clear.run();
    },
    first: () => bucketOf(first.get()),
    last: () => bucketOf(last.get()),
    extent: (from, to, except) => {
      const row = extent.get(from, to, JSON.stringify(except));
      if (row === undefined || row[0] === null) return undefined;
      return { levels: number(row[0]), firstNth: number(row[1]), lastNth: number(row[2]) };
    },
    groups: (origin, from, to, except, perGroup) =>
      groups.all(from, to, JSON.stringify(except), origin, perGroup).map((row) => ({
        group: number(row[0]),
        levels: number(row[1]),
        minimum_m: number(row[2]),
        maximum_m: number(row[3]),
        sum_m: number(row[4]),
      })),
  };
}

function bucketOf(row: Row | undefined): Bucket | undefined {
  if (row === undefined) return undefined;
  return {
    bucket: number(row[0]),
    firstNth: number(row[1]),
    lastNth: number(row[2]),
    from_s: number(row[3]),
    to_s: number(row[4]),
    levels: number(row[5]),
    minimum_m: numberOrNull(row[6]),
    maximum_m: numberOrNull(row[7]),
    sum_m: number(row[8]),
  };
}
