// The usual rows of a recording, read in one pass over their bytes straight into a row table: no quotes, no blanks,
// plain decimals, times in the fixed shape. Everything else is left to row-from-texts.ts.

import { type ByteCursor, readPlainDecimal } from "./decimal.ts";
import type { PlannedColumn } from "./recording-columns.ts";
import type { RowTable } from "./row-table.ts";
import { readMilliseconds, type TimestampReader } from "./timestamp.ts";

export interface UsualRowReader {
  /** Rows go into this table from now on. */
  writeTo(table: RowTable): void;
  /**
   * Appends the rows from `start` on to that table, up to `end`, the first that is not usual, or until it is full. At
   * `end` a row ends, and `slackBytes` more are in the view.
   *
   * @returns where the next row begins
   */
  read(view: DataView, start: number, end: number, table: RowTable): number;
}

/** The fixed shape of a time is compared in words, which may reach beyond the end of a short row. */
export const slackBytes = 64;

const LF = 0x0a;
const CR = 0x0d;
const QUOTE = 0x22;
const ZERO = 0x30;

// What a cell holds, as a number: comparing texts would cost a tenth of the time.
const TIME = 0;
const TIME_MS = 1;
const IGNORED = 2;
const CONTACT = 3;
const NUMBER = 4;
const codeOf = { time: TIME, time_ms: TIME_MS, ignored: IGNORED, contact: CONTACT, number: NUMBER } as const;

interface Cell {
  readonly code: number;
  readonly times: number;
  readonly over: number;
  /** Index in the table's columns; -1 for the rest. */
  readonly slot: number;
  /** Where the values go at the moment. */
  target: Float64Array;
}

export function usualRowReader(
  plan: readonly PlannedColumn[],
  delimiter: number,
  timestamps: TimestampReader,
): UsualRowReader {
  const slots = [...new Set(plan.flatMap((column) => ("channel" in column ? [column.channel] : [])))];
  const cells = plan.map((column): Cell => {
    const { times, over } = column.holds === "number" ? column : { times: 1, over: 1 };
    const slot = "channel" in column ? slots.indexOf(column.channel) : -1;
    return { code: codeOf[column.holds], times, over, slot, target: new Float64Array(0) };
  });
  const lastCell = cells.length - 1;
  const cursor: ByteCursor = { end: 0 };

  return {
    writeTo(table) {
      for (const cell of cells) cell.target = table.columns[cell.slot] ?? table.time_ms;
    },
    // One function in one piece: each call more for a cell costs as much as reading the cell. With the loop over rows in
    // it V8 compiles it once, and not again into each that calls it for a row.
    read(view, start, end, table) {
      const { capacity } = table;
      let row = table.length;
      let next = start;
      while (next < end && row < capacity) {
        let position = next;
        for (let at = 0; at <= lastCell; at++) {
          const cell = cells[at] as Cell;
          const { code, target } = cell;
          let byte = view.getUint8(position);
          if (code === IGNORED) {
            if (byte === QUOTE) return next;
            while (byte !== delimiter && byte !== LF && byte !== CR) byte = view.getUint8(++position);
          } else if (code === TIME || code === TIME_MS) {
            const time_ms =
              code === TIME ? timestamps.read(view, position, cursor) : readMilliseconds(view, position, cursor);
            if (Number.isNaN(time_ms)) return next;
            target[row] = time_ms;
            position = cursor.end;
          } else if (byte === delimiter || byte === LF || byte === CR) {
            target[row] = Number.NaN;
          } else if (code === CONTACT) {
            if (byte !== ZERO && byte !== ZERO + 1) return next;
            target[row] = byte - ZERO;
            position += 1;
          } else {
            const value = readPlainDecimal(view, position, cursor);
            if (Number.isNaN(value)) return next;
            target[row] = (value * cell.times) / cell.over;
            position = cursor.end;
          }
          byte = view.getUint8(position++);
          if (at < lastCell) {
            if (byte !== delimiter) return next;
          } else {
            if (byte === CR) byte = view.getUint8(position++);
            if (byte !== LF) return next;
          }
        }
        row += 1;
        table.length = row;
        next = position;
      }
      return next;
    },
  };
}
