// Rows of a recording from bytes into a row table. The usual row is read byte by byte; any other row is read again
// as texts, which also finds what is wrong with it.

import { splitRecord } from "./csv-record.ts";
import type { ProblemList } from "./problem-list.ts";
import type { PlannedColumn } from "./recording-columns.ts";
import { appendTexts, type TextRules } from "./row-from-texts.ts";
import type { RowTable } from "./row-table.ts";
import { usualRowReader } from "./usual-row.ts";

export interface RowScannerParts extends TextRules {
  readonly plan: readonly PlannedColumn[];
  /** The byte between cells. */
  readonly delimiter: number;
  /** Line number of the first row. */
  readonly firstLine: number;
  readonly problems: ProblemList;
  /** The table to append to at the moment. */
  table(): RowTable;
  /** The table is full; afterwards `table()` has room. False ends the scan. */
  full(): boolean;
}

export interface RowScanner {
  /**
   * Reads whole rows from bytes[from, to); `slackBytes` more of any content follow.
   *
   * @returns where the first row begins that is not complete; -1 when `full()` ended the scan
   */
  scan(bytes: Buffer, from: number, to: number): number;
  /** Line number in the file of the row that comes next. */
  readonly line: number;
  /** Rows read so far, without blank ones. */
  readonly rows: number;
}

const LF = 0x0a;

export function rowScanner(parts: RowScannerParts): RowScanner {
  const { plan, delimiter, problems } = parts;
  const usual = usualRowReader(plan, delimiter, parts.timestamps);
  let line = parts.firstLine;
  let rows = 0;

  /** Returns the start of the next row; -1 when the row's end is not at hand. */
  const readAsTexts = (table: RowTable, bytes: Buffer, from: number, to: number): number => {
    const record = splitRecord(bytes, from, to, delimiter);
    if (record === undefined) return -1;
    const texts = record.cells.map((text) => text.trim());
    // A row with nothing in it is a blank line, or the empty row of a spreadsheet.
    if (texts.some((text) => text !== "")) {
      rows += 1;
      if (record.fault !== null) problems.add(line, record.fault);
      else appendTexts(table, plan, texts, parts, line, problems);
    }
    line += record.lines;
    return record.end;
  };

  return {
    get line() {
      return line;
    },
    get rows() {
      return rows;
    },
    scan(bytes, from, to) {
      const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
      const wholeLines = bytes.subarray(0, to).lastIndexOf(LF) + 1;
      let table = parts.table();
      usual.writeTo(table);
      let position = from;
      while (position < wholeLines) {
        const before = table.length;
        position = usual.read(view, position, wholeLines, table);
        line += table.length - before;
        rows += table.length - before;
        if (table.length < table.capacity && position < wholeLines) {
          const next = readAsTexts(table, bytes, position, to);
          if (next === -1) break;
          position = next;
        }
        if (table.length === table.capacity) {
          if (!parts.full()) return -1;
          table = parts.table();
          usual.writeTo(table);
        }
      }
      return position;
    },
  };
}
