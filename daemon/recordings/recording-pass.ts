// One pass over the bytes of a recording: chunks are joined into whole rows, rows are scanned and put in order.

import type { Channel } from "../../analysis/readings/reading.ts";
import { type CsvHeader, readHeader } from "./csv-header.ts";
import type { LocalTime } from "./local-time.ts";
import type { ProblemList } from "./problem-list.ts";
import { type ColumnMap, type PlannedColumn, planColumns } from "./recording-columns.ts";
import { type OrderCounts, type RowOrder, rowOrder } from "./row-order.ts";
import { type RowScanner, rowScanner } from "./row-scanner.ts";
import { type RowSink, rowTable } from "./row-table.ts";
import { timestampReader } from "./timestamp.ts";
import { slackBytes } from "./usual-row.ts";

export interface PassOptions {
  readonly columns: ColumnMap;
  readonly zone: LocalTime | null;
  readonly missing: ReadonlySet<string>;
  /** How many rows are held back to be put in order; Infinity holds them all. */
  readonly window: number;
  readonly problems: ProblemList;
  /** Is not called any more soon after a problem. */
  readonly onRows: RowSink;
}

export interface Pass {
  /** Takes the next bytes. False: no more are wanted. */
  push(chunk: Uint8Array): boolean;
  /** There are no more bytes. */
  end(): PassResult;
}

export interface PassResult {
  /** False: a row came too late for the window, and the pass ended there. */
  readonly inOrder: boolean;
  readonly rows: number;
  readonly counts: OrderCounts | null;
  readonly plan: readonly PlannedColumn[];
  readonly channels: readonly Channel[];
}

/** What reads the rows below a header. */
interface Body {
  readonly plan: readonly PlannedColumn[];
  readonly channels: readonly Channel[];
  readonly order: RowOrder;
  readonly scanner: RowScanner;
}

const LF = 0x0a;
const longestRow = 1024 * 1024;

export function passOver(options: PassOptions): Pass {
  const { problems } = options;
  let bytes = Buffer.alloc(64 * 1024);
  let length = 0; // bytes at hand: the beginning of a row, then the newest chunk
  let body = null as Body | null;
  let inOrder = true;
  let wanted = true;

  const take = (chunk: Uint8Array) => {
    if (length + chunk.length + slackBytes > bytes.length) {
      const larger = Buffer.alloc(2 * (length + chunk.length) + slackBytes);
      bytes.copy(larger, 0, 0, length);
      bytes = larger;
    }
    bytes.set(chunk, length);
    length += chunk.length;
  };

  const drop = (count: number) => {
    bytes.copyWithin(0, count, length);
    length -= count;
  };

  const readTop = () => {
    const header = readHeader(bytes, length);
    if (header === undefined) return;
    if (header.ok) {
      body = bodyBelow(header, options);
      drop(header.end);
    } else problems.add(header.line, header.problem);
    wanted = problems.count === 0;
  };

  const readRows = ({ scanner }: Body) => {
    const position = scanner.scan(bytes, 0, length);
    inOrder = position !== -1;
    if (inOrder) drop(position);
    if (length > longestRow) problems.add(scanner.line, "a row of more than 1 MB; is a quote left open?");
    wanted = inOrder && length <= longestRow;
  };

  const advance = () => {
    if (body === null) readTop();
    if (body !== null && wanted) readRows(body);
    return wanted;
  };

  return {
    push(chunk) {
      take(chunk);
      return advance();
    },
    end() {
      if (wanted && length > 0) {
        take(Uint8Array.of(LF)); // a last row without a line end; one more blank line otherwise
        advance();
      }
      if (body === null) {
        if (problems.count === 0) problems.add(null, "is empty; expected a header row, such as time,level_mm,pump_on");
        return { inOrder, rows: 0, counts: null, plan: [], channels: [] };
      }
      const { scanner, order, plan, channels } = body;
      if (wanted && length > 0) problems.add(scanner.line, "a quote is left open to the end of the file");
      else if (wanted && scanner.rows === 0)
        problems.add(null, "has a header row and nothing below it; expected at least one reading");
      if (inOrder && problems.count === 0) inOrder = order.settle(true);
      return { inOrder, rows: scanner.rows, counts: order.counts, plan, channels };
    },
  };
}

function bodyBelow(header: Extract<CsvHeader, { ok: true }>, options: PassOptions): Body {
  const { problems, window } = options;
  const plan = planColumns(header.names, header.line, options.columns, problems);
  const channels = [...new Set(plan.flatMap((column) => ("channel" in column ? [column.channel] : [])))];
  const wholeFile = window === Number.POSITIVE_INFINITY;
  const order = rowOrder(rowTable(channels, wholeFile ? 65_536 : 2 * window), window, options.onRows);
  const scanner = rowScanner({
    plan,
    delimiter: header.delimiter,
    firstLine: header.line + header.lines,
    timestamps: timestampReader(options.zone),
    missing: options.missing,
    problems,
    table: () => order.table,
    full() {
      if (problems.count === 0) return order.settle(false);
      order.table.length = 0; // bad input: the rest is only checked
      return true;
    },
  });
  return { plan, channels, order, scanner };
}
