// The header row of a CSV file: its encoding, the byte between cells, the names of the columns.

import { splitRecord } from "./csv-record.ts";

export type CsvHeader =
  | {
      readonly ok: true;
      readonly names: readonly string[];
      /** The byte between cells. */
      readonly delimiter: number;
      /** Where the next row begins. */
      readonly end: number;
      /** Line number of the header, and how many lines it takes. */
      readonly line: number;
      readonly lines: number;
    }
  | { readonly ok: false; readonly line: number | null; readonly problem: string };

const LF = 0x0a;
const CR = 0x0d;
const QUOTE = 0x22;
const delimiters = [0x2c, 0x3b, 0x09]; // comma, semicolon, tab
const longestHeader = 64 * 1024;

/**
 * Reads the header from the beginning of a file.
 *
 * @param to end of the bytes at hand
 * @returns undefined when its line end is not at hand yet
 */
export function readHeader(bytes: Buffer, to: number): CsvHeader | undefined {
  const problem = encodingProblem(bytes, Math.min(to, longestHeader));
  if (problem !== null) return { ok: false, line: null, problem };
  const mark = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0; // byte order mark of UTF-8
  const { start, line } = skipBlankLines(bytes, mark, to);
  const delimiter = mostFrequent(bytes, start, to);
  const record = splitRecord(bytes, start, to, delimiter);
  if (record === undefined) {
    const noHeader = `no line end within ${longestHeader / 1024} kB; expected a header row of CSV`;
    return to > longestHeader ? { ok: false, line, problem: noHeader } : undefined;
  }
  if (record.fault !== null) return { ok: false, line, problem: record.fault };
  if (record.cells.some((name) => name.includes("\r"))) {
    return { ok: false, line, problem: "lines end with CR alone; expected LF or CR LF" };
  }
  return { ok: true, names: record.cells, delimiter, end: record.end, line, lines: record.lines };
}

function skipBlankLines(bytes: Buffer, from: number, to: number): { start: number; line: number } {
  let start = from;
  let line = 1;
  for (let position = from; position < to; position++) {
    if (bytes[position] === LF) {
      start = position + 1;
      line += 1;
    } else if (bytes[position] !== CR) break;
  }
  return { start, line };
}

function encodingProblem(bytes: Buffer, to: number): string | null {
  if (to >= 2 && bytes[0] === 0xff && bytes[1] === 0xfe) return "is UTF-16; expected UTF-8";
  if (to >= 2 && bytes[0] === 0xfe && bytes[1] === 0xff) return "is UTF-16; expected UTF-8";
  for (let position = 0; position < to && bytes[position] !== LF; position++) {
    const byte = bytes[position] ?? 0;
    if (byte < 0x20 && byte !== 0x09 && byte !== CR) {
      return `is no text (byte 0x${byte.toString(16).padStart(2, "0")} at ${position}); expected CSV, plain or gzipped`;
    }
  }
  return null;
}

/** The delimiter that stands most often in the first line, outside quotes; a comma if none does. */
function mostFrequent(bytes: Buffer, from: number, to: number): number {
  const counts = delimiters.map(() => 0);
  let inQuotes = false;
  for (let position = from; position < to; position++) {
    const byte = bytes[position] ?? 0;
    if (byte === QUOTE) inQuotes = !inQuotes;
    else if (inQuotes) continue;
    else if (byte === LF) break;
    const kind = delimiters.indexOf(byte);
    if (kind !== -1) counts[kind] = (counts[kind] ?? 0) + 1;
  }
  return delimiters[counts.indexOf(Math.max(...counts))] ?? 0x2c;
}
