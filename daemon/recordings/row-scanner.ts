// Rows of a recording from bytes into a row table. The usual row is read in one pass over its bytes; a row that has
// anything unusual (quotes, exponents, a wrong number of cells) is read again as texts, which also finds what is
// wrong with it.

import { splitRecord } from "./csv-record.ts";
import { type ByteCursor, parseDecimal, readPlainDecimal } from "./decimal.ts";
import { type ProblemList, quoted } from "./problem-list.ts";
import type { PlannedColumn } from "./recording-columns.ts";
import type { RowTable } from "./row-table.ts";
import { parseMilliseconds, readMilliseconds, type TimestampReader } from "./timestamp.ts";

export interface RowScannerParts {
  readonly plan: readonly PlannedColumn[];
  /** The byte between cells. */
  readonly delimiter: number;
  readonly timestamps: TimestampReader;
  /** Texts that mean 'no reading', beside the empty cell. */
  readonly missing: ReadonlySet<string>;
  readonly problems: ProblemList;
  /** The table to append to at the moment. */
  table(): RowTable;
  /** The table is full; afterwards `table()` has room. False ends the scan. */
  full(): boolean;
}

export interface RowScanner {
  /**
   * Reads whole rows from bytes[from, to), which are followed by at least `slackBytes` more bytes of any content.
   *
   * @returns where the first row begins that has not been read; -1 when `full()` ended the scan
   */
  scan(bytes: Buffer, from: number, to: number): number;
  /** The line number in the file of the row that comes next. */
  line: number;
  /** Rows read, blank ones and faulty ones left out. */
  rows: number;
}

/** The fixed shape of a time is compared in words, which may reach beyond the end of a short last row. */
export const slackBytes = 64;

const LF = 0x0a;
const CR = 0x0d;
const QUOTE = 0x22;
const ZERO = 0x30;

type Reads = "ignored" | "time" | "time_ms" | "number" | "contact";

interface Cell {
  readonly reads: Reads;
  /** Index in the table's columns; -1 for the time and for ignored columns. */
  readonly slot: number;
  readonly times: number;
  readonly over: number;
}

export function rowScanner(parts: RowScannerParts): RowScanner {
  const { plan, delimiter, timestamps, problems } = parts;
  const cells = plan.map((column): Cell => {
    const slot = "channel" in column ? parts.table().channels.indexOf(column.channel) : -1;
    const { times, over } = column.holds === "number" ? column : { times: 1, over: 1 };
    return { reads: column.holds, slot, times, over };
  });
  const lastCell = cells.length - 1;
  const cursor: ByteCursor = { end: 0 };

  /** Reads one usual row into row `row`. Returns the start of the next; -1 for a row that is not usual. */
  const readUsualRow = (view: DataView, start: number, table: RowTable, row: number): number => {
    let position = start;
    for (let at = 0; at <= lastCell; at++) {
      const { reads, slot, times, over } = cells[at] as Cell;
      let byte = view.getUint8(position);
      if (reads === "time" || reads === "time_ms") {
        const time_ms =
          reads === "time" ? timestamps.read(view, position, cursor) : readMilliseconds(view, position, cursor);
        if (Number.isNaN(time_ms)) return -1;
        table.time_ms[row] = time_ms;
        position = cursor.end;
      } else if (reads === "ignored") {
        if (byte === QUOTE) return -1;
        while (byte !== delimiter && byte !== LF && byte !== CR) byte = view.getUint8(++position);
      } else {
        const column = table.columns[slot] as Float64Array;
        if (byte === delimiter || byte === LF || byte === CR) {
          column[row] = Number.NaN;
        } else if (reads === "contact") {
          if (byte !== ZERO && byte !== ZERO + 1) return -1;
          column[row] = byte - ZERO;
          position += 1;
        } else {
          const value = readPlainDecimal(view, position, cursor);
          if (Number.isNaN(value)) return -1;
          column[row] = (value * times) / over;
          position = cursor.end;
        }
      }
      byte = view.getUint8(position++);
      if (at < lastCell) {
        if (byte !== delimiter) return -1;
      } else {
        if (byte === CR) byte = view.getUint8(position++);
        if (byte !== LF) return -1;
      }
    }
    return position;
  };

  /** Reads one row as texts. Returns the start of the next; -1 when the row's end is not at hand. */
  const readUnusualRow = (bytes: Buffer, from: number, to: number): number => {
    const record = splitRecord(bytes, from, to, delimiter);
    if (record === undefined) return -1;
    const { line } = scanner;
    scanner.line += record.lines;
    const texts = record.cells.map((text) => text.trim());
    if (texts.every((text) => text === "")) return record.end; // a blank line, or an empty row of a spreadsheet
    scanner.rows += 1;
    if (record.fault !== null) problems.add(line, record.fault);
    else if (texts.length !== plan.length) {
      problems.add(line, `expected ${plan.length} cells as in the header, found ${texts.length}`);
    } else if (storeTexts(texts, line)) parts.table().length += 1;
    return record.end;
  };

  const storeTexts = (texts: readonly string[], line: number): boolean => {
    const table = parts.table();
    const before = problems.count;
    plan.forEach((column, at) => {
      const text = texts[at] ?? "";
      const value = parseCell(column, text, timestamps, parts.missing);
      if (typeof value === "string") problems.add(line, `${column.header}: ${value} ${quoted(text)}`);
      else if (column.holds === "time" || column.holds === "time_ms") table.time_ms[table.length] = value;
      else table.columns[cells[at]?.slot ?? -1]?.fill(value, table.length, table.length + 1);
    });
    return problems.count === before;
  };

  const scanner: RowScanner = {
    line: 1,
    rows: 0,
    scan(bytes, from, to) {
      const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
      const wholeLines = bytes.subarray(0, to).lastIndexOf(LF) + 1;
      let table = parts.table();
      let position = from;
      while (position < wholeLines) {
        const next = readUsualRow(view, position, table, table.length);
        if (next !== -1) {
          position = next;
          table.length += 1;
          scanner.line += 1;
          scanner.rows += 1;
        } else {
          const after = readUnusualRow(bytes, position, to);
          if (after === -1) break;
          position = after;
        }
        if (table.length === table.capacity) {
          if (!parts.full()) return -1;
          table = parts.table();
        }
      }
      return position;
    },
  };
  return scanner;
}

/** The cell in SI; NaN for 'no reading'; a text says what is expected, to be followed by what was found. */
function parseCell(
  column: PlannedColumn,
  text: string,
  timestamps: TimestampReader,
  missing: ReadonlySet<string>,
): number | string {
  if (column.holds === "time") return timestamps.parse(text);
  if (column.holds === "time_ms") return parseMilliseconds(text);
  if (column.holds === "ignored") return Number.NaN;
  if (text === "" || missing.has(text)) return Number.NaN;
  if (column.holds === "contact") return contacts.get(text.toLowerCase()) ?? "expected 1 or 0, found";
  const value = parseDecimal(text);
  return value === undefined ? "expected a number, found" : (value * column.times) / column.over;
}

const contacts = new Map([
  ["1", 1],
  ["0", 0],
  ["1.0", 1],
  ["0.0", 0],
  ["true", 1],
  ["false", 0],
]);
