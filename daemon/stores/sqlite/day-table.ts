// The rows of the roll-up: one for each day since 1970, with its ten-minute parts.

import type { DatabaseSync, SQLOutputValue } from "node:sqlite";
import { StoreError } from "../store-error.ts";
import { type DayParts, decodeParts, encodeParts } from "./day-parts.ts";
import { number, numberOrNull } from "./row.ts";

export interface Day {
  /** Number of the day: its start is `day` × 86,400 s. */
  readonly day: number;
  /** All readings of the day are among these; others may be too, where time stepped back. */
  readonly firstNth: number;
  lastNth: number;
  readonly parts: DayParts;
}

/** A day as one: null where it has no level. */
export interface DayAsOne {
  readonly day: number;
  readonly levels: number;
  readonly minimum_m: number | null;
  readonly maximum_m: number | null;
  readonly sum_nm: number;
}

/** What several days have in common. */
export interface Extent {
  readonly levels: number;
  readonly firstNth: number;
  readonly lastNth: number;
}

export interface DayTable {
  get(day: number): Day | undefined;
  put(day: Day): void;
  /** Drops that day and those after it. */
  clear(from: number): void;
  /** Of days `from` to `to`; undefined when there are none. */
  extent(from: number, to: number): Extent | undefined;
  /** Days `from` to `to` that have a level, in their order. */
  asOne(from: number, to: number): Iterable<DayAsOne>;
  withParts(from: number, to: number): Iterable<{ readonly day: number; readonly parts: DayParts }>;
}

export function dayTable(database: DatabaseSync): DayTable {
  const arrays = { returnArrays: true };
  const get = database.prepare("SELECT firstNth, lastNth, parts FROM day WHERE day = ?", arrays);
  const put = database.prepare("REPLACE INTO day VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
  const clear = database.prepare("DELETE FROM day WHERE day >= ?");
  const extent = database.prepare(
    "SELECT sum(levels), min(firstNth), max(lastNth) FROM day WHERE day BETWEEN ? AND ?",
    arrays,
  );
  const asOne = database.prepare(
    `SELECT day, levels, minimum_m, maximum_m, sum_nm FROM day
     WHERE day BETWEEN ? AND ? AND levels > 0 ORDER BY day`,
    arrays,
  );
  const withParts = database.prepare(
    "SELECT day, parts FROM day WHERE day BETWEEN ? AND ? AND levels > 0 ORDER BY day",
    arrays,
  );

  return {
    get(day) {
      const row = get.get(day);
      if (row === undefined) return undefined;
      return { day, firstNth: number(row[0]), lastNth: number(row[1]), parts: partsOf(row[2]) };
    },
    put: ({ day, firstNth, lastNth, parts }) => {
      const { levels, minimum_m, maximum_m, sum_nm } = sumOf(day, parts);
      put.run(day, firstNth, lastNth, levels, minimum_m, maximum_m, sum_nm, encodeParts(parts));
    },
    clear: (from) => {
      clear.run(Math.max(-1e15, from));
    },
    extent(from, to) {
      const row = extent.get(from, to);
      if (row === undefined || row[0] === null) return undefined;
      return { levels: number(row[0]), firstNth: number(row[1]), lastNth: number(row[2]) };
    },
    asOne: (from, to) =>
      asOne.all(from, to).map((row) => ({
        day: number(row[0]),
        levels: number(row[1]),
        minimum_m: numberOrNull(row[2]),
        maximum_m: numberOrNull(row[3]),
        sum_nm: number(row[4]),
      })),
    *withParts(from, to) {
      for (const row of withParts.all(from, to)) yield { day: number(row[0]), parts: partsOf(row[1]) };
    },
  };
}

export function sumOf(day: number, { levels, minimum_m, maximum_m, sum_nm }: DayParts): DayAsOne {
  const lowest = minimum_m.filter((_, part) => levels[part] !== 0);
  const highest = maximum_m.filter((_, part) => levels[part] !== 0);
  return {
    day,
    levels: levels.reduce((sum, count) => sum + count, 0),
    minimum_m: lowest.length === 0 ? null : lowest.reduce((a, b) => Math.min(a, b)),
    maximum_m: highest.length === 0 ? null : highest.reduce((a, b) => Math.max(a, b)),
    sum_nm: sum_nm.reduce((sum, part) => sum + part, 0),
  };
}

function partsOf(value: SQLOutputValue | undefined): DayParts {
  if (value instanceof Uint8Array) return decodeParts(value);
  throw new StoreError("the store holds a day without its parts; the file is damaged");
}
