// Readings as rows, in the order in which they were appended, given back bit for bit as they came.
// Which rows fall into a span of time is known to the roll-ups.

import type { DatabaseSync } from "node:sqlite";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { number, numberOrNull, type Row } from "./row.ts";

/** Rows are read in lots: bounded memory, and no statement stays open between them, so that writing may go on. */
const lot = 2000;

export interface ReadingTable {
  count(): number;
  insert(nth: number, reading: Reading): void;
  /** From after the n-th on, as far as there are rows when it gets there. */
  after(nth: number): Iterable<Reading>;
  /** Time and level of the rows after the n-th, for the roll-ups. */
  timesAfter(nth: number): Iterable<{ readonly nth: number; readonly time_s: number; readonly level_m: number | null }>;
  /** The levels among rows `firstNth` to `lastNth` whose time is in the span: columns in order of appending. */
  levels(firstNth: number, lastNth: number, from_s: number, to_s: number): { time_s: number[]; level_m: number[] };
}

export function readingTable(database: DatabaseSync): ReadingTable {
  const arrays = { returnArrays: true };
  const count = database.prepare("SELECT max(nth) FROM reading", arrays);
  const insert = database.prepare("INSERT INTO reading VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
  const whole = database.prepare("SELECT * FROM reading WHERE nth > ? ORDER BY nth LIMIT ?", arrays);
  const times = database.prepare("SELECT nth, time_s, level_m FROM reading WHERE nth > ? ORDER BY nth LIMIT ?", arrays);
  const levels = database.prepare(
    `SELECT time_s, level_m FROM reading
     WHERE nth BETWEEN ? AND ? AND time_s BETWEEN ? AND ? AND abs(level_m) < 9e999 ORDER BY nth`,
    arrays,
  );

  function* lots(statement: typeof whole, nth: number): Generator<Row> {
    for (let last = nth; ; ) {
      const rows = statement.all(last, lot);
      yield* rows;
      if (rows.length < lot) return;
      last = number(rows.at(-1)?.[0]);
    }
  }

  return {
    count: () => numberOrNull(count.get()?.[0]) ?? 0,
    insert: (nth, r) => {
      const { time_s, level_m, rain_m, temperature_c, pumpCurrent_a, pumpPower_w } = r;
      insert.run(nth, time_s, level_m, switchesOf(r), rain_m, temperature_c, pumpCurrent_a, pumpPower_w);
    },
    *after(nth) {
      for (const row of lots(whole, nth)) yield readingOf(row);
    },
    *timesAfter(nth) {
      for (const row of lots(times, nth)) {
        yield { nth: number(row[0]), time_s: number(row[1]), level_m: numberOrNull(row[2]) };
      }
    },
    levels: (firstNth, lastNth, from_s, to_s) => {
      const rows = levels.all(firstNth, lastNth, from_s, to_s);
      return { time_s: rows.map((row) => number(row[0])), level_m: rows.map((row) => number(row[1])) };
    },
  };
}

function readingOf(row: Row): Reading {
  const switches = number(row[3]);
  return {
    time_s: number(row[1]),
    level_m: numberOrNull(row[2]),
    pumpOn: switchOf(switches, 27),
    floatOn: switchOf(switches, 9),
    pump2On: switchOf(switches, 243),
    float2On: switchOf(switches, 81),
    highFloat: switchOf(switches, 3),
    pumpCurrent_a: numberOrNull(row[6]),
    pumpPower_w: numberOrNull(row[7]),
    mainsOn: switchOf(switches, 1),
    rain_m: numberOrNull(row[4]),
    temperature_c: numberOrNull(row[5]),
  };
}

function switchesOf({ pumpOn, floatOn, pump2On, float2On, highFloat, mainsOn }: Reading): number {
  const one = ((digit(pumpOn) * 3 + digit(floatOn)) * 3 + digit(highFloat)) * 3 + digit(mainsOn);
  return (digit(pump2On) * 3 + digit(float2On)) * 81 + one;
}

function digit(on: boolean | null): number {
  return on === null ? 0 : on ? 2 : 1;
}

function switchOf(switches: number, place: number): boolean | null {
  const found = Math.floor(switches / place) % 3;
  return found === 0 ? null : found === 2;
}
