// Tells a wall clock that was set back from rows that came late. In both, time steps back from one row to the next.
//
// Rows that came late fill a hole, or repeat rows that are there already. After a clock was set back, a long run of
// rows in order follows that says other things about times of which the run before it has spoken already. A run is
// long from 16 rows on: two such runs in a row do not come about in a shuffled file (chance of 1 in 16! each).

import type { RowTable } from "./row-table.ts";

const longRun = 16;
/** Rows further apart than so many usual steps have a hole between them. */
const holeFrom = 1.5;

export type StepVerdict = "late-rows" | "clock-set-back" | "undecided";

/**
 * Judges a row that is earlier than the row before it.
 *
 * @param runStart first row of the run in order that ends before `row`
 * @param length   rows at hand
 * @param complete no more rows will come
 * @returns `undecided` when more rows are needed to tell
 */
export function judgeStep(
  table: RowTable,
  runStart: number,
  row: number,
  length: number,
  complete: boolean,
): StepVerdict {
  if (row - runStart < longRun) return "late-rows";
  const { time_ms } = table;
  const last_ms = time_ms[row - 1] as number;
  let end = row + 1;
  while (end < length && (time_ms[end] as number) >= (time_ms[end - 1] as number)) end += 1;
  const open = end === length && !complete;
  if (open && (end - row < longRun || (time_ms[end - 1] as number) <= last_ms)) return "undecided";
  return end - row >= longRun && speakOfTheSameTime(table, runStart, row, end) ? "clock-set-back" : "late-rows";
}

/** How far the rows from `row` on are to be moved so that they go on where time had come to. */
export function stepBack_ms(table: RowTable, row: number, latest_ms: number): number {
  return latest_ms + Math.max(usualStep_ms(table, row), 1) - (table.time_ms[row] as number);
}

/** Median of the steps of the long run that begins at `from`. */
function usualStep_ms({ time_ms }: RowTable, from: number): number {
  const steps = Array.from(
    { length: longRun - 1 },
    (_, n) => (time_ms[from + n + 1] as number) - (time_ms[from + n] as number),
  );
  return steps.sort((a, b) => a - b)[longRun >> 1] as number;
}

/** Whether two runs, each in order, contradict each other or lie between each other's rows. */
function speakOfTheSameTime(table: RowTable, runStart: number, row: number, end: number): boolean {
  const { time_ms } = table;
  const from_ms = Math.max(time_ms[runStart] as number, time_ms[row] as number);
  const last_ms = time_ms[row - 1] as number;
  let a = runStart;
  let b = row;
  while (a < row && (time_ms[a] as number) < from_ms) a += 1;
  while (b < end && (time_ms[b] as number) < from_ms) b += 1;
  let bEnd = b;
  while (bEnd < end && (time_ms[bEnd] as number) <= last_ms) bEnd += 1;
  if (bEnd === b || !shareChannel(table, a, row, b, bEnd)) return false;
  const until_ms = time_ms[bEnd - 1] as number;

  const hole_ms = holeFrom * usualStep_ms(table, row - longRun);
  let equal = 0;
  let conflicting = 0;
  let onlyBefore = 0;
  let onlyAfter = 0;
  while (a < row && b < bEnd && (time_ms[a] as number) <= until_ms) {
    const difference = (time_ms[a] as number) - (time_ms[b] as number);
    if (difference < 0) onlyBefore += 1;
    else if (difference > 0) onlyAfter += fillsHole(table, runStart, a, hole_ms) ? 0 : 1;
    else if (conflict(table, a, b)) conflicting += 1;
    else equal += 1;
    if (difference <= 0) a += 1;
    if (difference >= 0) b += 1;
  }
  if (b < bEnd && !fillsHole(table, runStart, a, hole_ms)) onlyAfter += bEnd - b;
  return conflicting >= 2 || (equal === 0 && onlyBefore >= 2 && onlyAfter >= 2);
}

/** What comes before row `a` of the earlier run, and after the row before it, was missing there: it came late. */
function fillsHole({ time_ms }: RowTable, runStart: number, a: number, hole_ms: number): boolean {
  return a > runStart && (time_ms[a] as number) - (time_ms[a - 1] as number) > hole_ms;
}

/** Two loggers' files one after the other speak of the same time, but not of the same channel. */
function shareChannel(table: RowTable, a: number, aEnd: number, b: number, bEnd: number): boolean {
  return table.columns.some((column) => someValue(column, a, aEnd) && someValue(column, b, bEnd));
}

function someValue(column: Float64Array, from: number, to: number): boolean {
  for (let row = from; row < to; row++) if (!Number.isNaN(column[row])) return true;
  return false;
}

/** Both rows have a value in a channel, and not the same. */
export function conflict(table: RowTable, a: number, b: number): boolean {
  return table.columns.some((column) => {
    const one = column[a] as number;
    const other = column[b] as number;
    return one !== other && !Number.isNaN(one) && !Number.isNaN(other);
  });
}
