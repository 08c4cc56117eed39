// One record of a CSV file (RFC 4180) as texts: quotes, doubled quotes, line breaks in quotes. For headers and for
// the rare row that the row scanner cannot read byte by byte.

export interface CsvRecord {
  readonly cells: readonly string[];
  /** Position after the record's line end. */
  readonly end: number;
  /** How many lines of the file it takes. */
  readonly lines: number;
  /** What is wrong with its quotes; null when nothing is. */
  readonly fault: string | null;
}

const LF = 0x0a;
const CR = 0x0d;
const QUOTE = 0x22;

/**
 * Splits the record that starts at `from`.
 *
 * @param to        end of the bytes at hand
 * @param delimiter the byte between cells
 * @returns undefined when the record's line end is not at hand yet
 */
export function splitRecord(bytes: Buffer, from: number, to: number, delimiter: number): CsvRecord | undefined {
  const cells: string[] = [];
  let lines = 1;
  let fault: string | null = null;
  let start = from;
  while (start <= to) {
    let position = start;
    let text: string;
    if (bytes[position] === QUOTE && position < to) {
      position = closingQuote(bytes, start + 1, to);
      if (position === -1) return undefined;
      text = bytes.toString("utf8", start + 1, position).replaceAll('""', '"');
      lines += lineFeeds(bytes, start + 1, position);
      start = position + 1;
      position = cellEnd(bytes, start, to, delimiter);
      if (bytes.toString("latin1", start, position).trim() !== "") fault ??= "text after a closing quote";
    } else {
      position = cellEnd(bytes, start, to, delimiter);
      const end = bytes[position] === LF && position > start && bytes[position - 1] === CR ? position - 1 : position;
      text = bytes.toString("utf8", start, end);
    }
    if (position === to) return undefined;
    cells.push(text);
    if (bytes[position] === LF) return { cells, end: position + 1, lines, fault };
    start = position + 1;
  }
  return undefined;
}

/** Position of the quote that closes the cell; -1 when it is not at hand. A quote at the very end may be a first half. */
function closingQuote(bytes: Buffer, from: number, to: number): number {
  for (let position = from; position < to - 1; position++) {
    if (bytes[position] !== QUOTE) continue;
    if (bytes[position + 1] !== QUOTE) return position;
    position += 1;
  }
  return -1;
}

function cellEnd(bytes: Buffer, from: number, to: number, delimiter: number): number {
  let position = from;
  while (position < to && bytes[position] !== delimiter && bytes[position] !== LF) position += 1;
  return position;
}

function lineFeeds(bytes: Buffer, from: number, to: number): number {
  let count = 0;
  for (let position = from; position < to; position++) if (bytes[position] === LF) count += 1;
  return count;
}
