// Puts rows in order of time while they stream through, in bounded memory, and leaves each time once.
//
// Rule. A window of rows is held back; a row that comes late by less than the window is put in its place. Rows of
// one time become one: wholly equal ones are doubles, different channels are merged, of contradicting values the
// first is kept. A clock that was set back (see clock-step.ts) does not reorder anything: from there on all times are
// moved by what the clock lost, to the end of the recording, so that the order of the file and every duration in it
// are kept. A row that comes later than the window cannot be placed any more: then the whole recording must be held.

import { conflict, judgeStep, stepBack_ms } from "./clock-step.ts";
import { grown, moveRows, type RowSink, type RowTable } from "./row-table.ts";

/** A wall clock that was set back while it recorded. */
export interface ClockStep {
  /** When, on the time scale of the readings: the last reading before the step. */
  readonly at_s: number;
  /** What was added to the times that follow, in seconds. */
  readonly added_s: number;
}

export interface OrderCounts {
  /** Rows wholly equal to another. */
  doubles: number;
  /** Rows that brought other channels to a time that had some already. */
  merged: number;
  /** Rows that contradicted an earlier one of the same time in a channel, whose value was kept. */
  conflicts: number;
  /** Rows earlier than the row before them. */
  outOfOrder: number;
  /** Readings given. */
  readings: number;
  readonly clockSteps: ClockStep[];
}

export interface RowOrder {
  /** The table to append to; another one after each `settle`. */
  readonly table: RowTable;
  /** To be called when the table is full, and once at the end. False: a row came too late for the window. */
  settle(atEnd: boolean): boolean;
  readonly counts: OrderCounts;
}

/**
 * @param empty    the table to start with
 * @param window   how many rows are held back; Infinity holds and sorts the whole recording
 * @param onRows is given the rows, strictly in order of time
 */
export function rowOrder(empty: RowTable, window: number, onRows: RowSink): RowOrder {
  let table = empty;
  let settled = 0; // rows of the table that have been here before
  let waiting = false; // among them a step back that could not be judged yet
  let added_ms = 0;
  let given_ms = Number.NEGATIVE_INFINITY;
  const counts: OrderCounts = { doubles: 0, merged: 0, conflicts: 0, outOfOrder: 0, readings: 0, clockSteps: [] };

  const give = (rows: number) => {
    if (rows <= 0) return;
    onRows(table, 0, rows);
    given_ms = table.time_ms[rows - 1] as number;
    counts.readings += rows;
    moveRows(table, 0, rows, table.length);
    table.length -= rows;
  };

  /** Judges each step back in the order of the file. Returns how many rows can be put in order now. */
  const judge = (atEnd: boolean): number => {
    const { time_ms, length } = table;
    let runStart = 0;
    let latest_ms = time_ms[0] as number;
    for (let row = 1; row < length; row++) {
      latest_ms = Math.max(latest_ms, time_ms[row - 1] as number);
      if ((time_ms[row] as number) >= (time_ms[row - 1] as number)) continue;
      const verdict = judgeStep(table, runStart, row, length, atEnd || length >= 4 * window);
      if (verdict === "undecided") return row;
      if (verdict === "clock-set-back") {
        const step_ms = stepBack_ms(table, row, latest_ms);
        for (let later = row; later < length; later++) time_ms[later] = (time_ms[later] as number) + step_ms;
        added_ms += step_ms;
        counts.clockSteps.push({ at_s: latest_ms / 1000, added_s: step_ms / 1000 });
        continue;
      }
      counts.outOfOrder += 1;
      runStart = row;
    }
    return length;
  };

  return {
    get table() {
      return table;
    },
    counts,
    settle(atEnd) {
      if (window === Number.POSITIVE_INFINITY && !atEnd) {
        table = grown(table, table.capacity * 2);
        return true;
      }
      const { time_ms, length } = table;
      if (added_ms !== 0) {
        for (let row = settled; row < length; row++) time_ms[row] = (time_ms[row] as number) + added_ms;
      }
      if (!waiting && isAscending(time_ms, settled, length)) {
        give(atEnd ? length : length - window);
      } else {
        const judged = judge(atEnd);
        waiting = judged < length;
        const undecided_ms = waiting ? (time_ms[judged] as number) : Number.POSITIVE_INFINITY;
        const kept = putInOrder(table, judged, counts);
        if (length > 0 && (time_ms[0] as number) <= given_ms) return false;
        moveRows(table, kept, judged, length);
        table.length = kept + length - judged;
        give(Math.min(countBefore(time_ms, kept, undecided_ms), atEnd ? table.length : table.length - window));
      }
      settled = table.length;
      if (table.length > table.capacity / 2) table = grown(table, table.capacity * 2);
      return true;
    },
  };
}

/** Strictly, from the row before `from` on. */
function isAscending(time_ms: Float64Array, from: number, length: number): boolean {
  for (let row = Math.max(from, 1); row < length; row++) {
    if (!((time_ms[row] as number) > (time_ms[row - 1] as number))) return false;
  }
  return true;
}

function countBefore(time_ms: Float64Array, rows: number, limit_ms: number): number {
  let count = rows;
  while (count > 0 && (time_ms[count - 1] as number) >= limit_ms) count -= 1;
  return count;
}

/** Sorts the first `rows` rows, those of one time in the order of the file, and makes one of them. Returns what is left. */
function putInOrder(table: RowTable, rows: number, counts: OrderCounts): number {
  const { time_ms } = table;
  const order = new Uint32Array(rows);
  for (let row = 0; row < rows; row++) order[row] = row;
  order.sort((a, b) => (time_ms[a] as number) - (time_ms[b] as number) || a - b);
  for (const column of [time_ms, ...table.columns]) {
    const before = column.slice(0, rows);
    for (let row = 0; row < rows; row++) column[row] = before[order[row] as number] as number;
  }
  let kept = 0;
  for (let row = 0; row < rows; row++) {
    if (kept > 0 && time_ms[kept - 1] === time_ms[row]) {
      merge(table, kept - 1, row, counts);
    } else {
      time_ms[kept] = time_ms[row] as number;
      for (const column of table.columns) column[kept] = column[row] as number;
      kept += 1;
    }
  }
  return kept;
}

/** Takes into row `first` what row `second` of the same time has more. */
function merge(table: RowTable, first: number, second: number, counts: OrderCounts): void {
  let more = false;
  if (conflict(table, first, second)) counts.conflicts += 1;
  for (const column of table.columns) {
    if (!Number.isNaN(column[first]) || Number.isNaN(column[second])) continue;
    column[first] = column[second] as number;
    more = true;
  }
  if (more) counts.merged += 1;
  else if (!conflict(table, first, second)) counts.doubles += 1;
}
