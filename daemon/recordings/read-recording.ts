// Reads a recording: a CSV file of the file contract, or any logger's with a column map, as readings in order of
// time. Bytes, rows and order have files of their own; this one decides how often the recording is gone through.
//
// Nothing is guessed: what cannot be read is a problem with its line, and a recording with a problem is bad input.
// How rows are put in order, and what becomes of a clock that was set back: see row-order.ts. Local stamps: see
// local-time.ts.

import type { Channel, Reading } from "../../analysis/readings/reading.ts";
import { localTime } from "./local-time.ts";
import { type ProblemList, problemList, quoted } from "./problem-list.ts";
import type { ColumnMap } from "./recording-columns.ts";
import { openRecording, type RecordingInput, UnreadableRecording } from "./recording-input.ts";
import { type PassOptions, type PassResult, passOver } from "./recording-pass.ts";
import type { ClockStep, OrderCounts } from "./row-order.ts";
import { giveReadings, type RowSink } from "./row-table.ts";

export { type ColumnMap, parseColumnMap, recordingColumns } from "./recording-columns.ts";
export type { ClockStep } from "./row-order.ts";

export interface RecordingOptions {
  /** The contract's column → the logger's own name for it. Columns that are not in it keep the contract's names. */
  readonly columns?: ColumnMap;
  /** IANA name, or an offset such as -05:00: where stamps without an offset were written. */
  readonly timezone?: string | null;
  /** Texts that mean 'no reading', beside the empty cell. */
  readonly missing?: readonly string[];
  /** How many bytes of the recording, as stored, have been gone through. Starts again with each pass. */
  onProgress?(bytesDone: number, bytesTotal: number): void;
  /** A column that is no channel and is left out; once for each. */
  onUnknownColumn?(name: string): void;
  /**
   * The recording turned out to be disordered as a whole: forget the readings so far, all of them come again in
   * order. Without this handler the recording is checked to its end before its first reading is given.
   */
  onRestart?(): void;
  /** Awaited after each chunk's readings; a slow consumer holds the recording back here. */
  afterChunk?(): Promise<void> | void;
  /** What `-` reads from; standard input if not given. */
  readonly stdin?: AsyncIterable<Uint8Array>;
  /** How much is read at once. */
  readonly chunkBytes?: number;
}

export interface RecordingResult extends Readonly<Omit<OrderCounts, "clockSteps">> {
  /** Rows of data, doubles included. */
  readonly rows: number;
  /** The rows were in such disorder that all of them had to be held and sorted. */
  readonly sorted: boolean;
  readonly clockSteps: readonly ClockStep[];
  readonly unknownColumns: readonly string[];
  readonly channels: readonly Channel[];
  /** One line each, fit for standard error; if there is any, the recording is bad input and its readings are void. */
  readonly problems: readonly string[];
}

// More than two hours at one row per second.
const window = 8192;

/**
 * Reads a recording and gives its readings strictly in order of time.
 *
 * @param path      a CSV file, gzipped or not, or `-` for standard input
 * @param onReading is called for each reading as it is read
 */
export function readRecording(
  path: string,
  options: RecordingOptions,
  onReading: (reading: Reading) => void,
): Promise<RecordingResult> {
  return readRows(path, options, (table, from, to) => giveReadings(table, from, to, onReading));
}

/** The same, row by row in columns: for what need not be an object for each row. */
export async function readRows(path: string, options: RecordingOptions, onRows: RowSink): Promise<RecordingResult> {
  const problems = problemList(path === "-" ? "standard input" : path);
  const zone = options.timezone ? localTime(options.timezone) : null;
  if (zone === undefined) {
    problems.add(null, `expected a time zone such as America/Toronto, found ${quoted(options.timezone ?? "")}`);
    return resultOf(null, problems, false, options);
  }
  const passOptions = { columns: options.columns ?? {}, zone, missing: new Set(options.missing), problems };
  try {
    const input = await openRecording(path, options.stdin ?? process.stdin);
    try {
      return await goThrough(input, passOptions, options, onRows);
    } finally {
      await input.close();
    }
  } catch (error) {
    if (!(error instanceof UnreadableRecording)) throw error;
    problems.add(null, error.message);
    return resultOf(null, problems, false, options);
  }
}

async function goThrough(
  input: RecordingInput,
  passOptions: Omit<PassOptions, "window" | "onRows">,
  options: RecordingOptions,
  onRows: RowSink,
): Promise<RecordingResult> {
  const { problems } = passOptions;
  const checkFirst = options.onRestart === undefined;
  const first = await pass(input, { ...passOptions, window, onRows: checkFirst ? () => {} : onRows }, options);
  const sorted = !first.inOrder;
  if (problems.count > 0 || (!sorted && !checkFirst)) return resultOf(first, problems, false, options);

  if (sorted) options.onRestart?.();
  const rows = sorted ? Number.POSITIVE_INFINITY : window;
  const second = await pass(input, { ...passOptions, window: rows, onRows }, options);
  return resultOf(second, problems, sorted, options);
}

async function pass(input: RecordingInput, passOptions: PassOptions, options: RecordingOptions): Promise<PassResult> {
  const { onProgress, afterChunk, chunkBytes = 512 * 1024 } = options;
  const rows = passOver(passOptions);
  for await (const chunk of input.chunks(chunkBytes, (bytes) => onProgress?.(bytes, input.size))) {
    if (!rows.push(chunk)) break;
    await afterChunk?.();
  }
  return rows.end();
}

function resultOf(
  pass: PassResult | null,
  problems: ProblemList,
  sorted: boolean,
  { onUnknownColumn }: RecordingOptions,
): RecordingResult {
  const ignored = (pass?.plan ?? []).filter(({ holds }) => holds === "ignored");
  const unknownColumns = [...new Set(ignored.map(({ header }) => header))];
  for (const name of unknownColumns) onUnknownColumn?.(name);
  return {
    ...(pass?.counts ?? noCounts),
    rows: pass?.rows ?? 0,
    sorted,
    unknownColumns,
    channels: pass?.channels ?? [],
    problems: problems.lines(),
  };
}

const noCounts: OrderCounts = { doubles: 0, merged: 0, conflicts: 0, outOfOrder: 0, readings: 0, clockSteps: [] };
