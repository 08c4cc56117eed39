// Rows as lines of CSV (RFC 4180), the header first.

export type Cell = string | number | null;

/** @param rows all of the same keys, in the same order; without any there is no line either */
export function* csvLines(rows: Iterable<Readonly<Record<string, Cell>>>): Generator<string> {
  let first = true;
  for (const row of rows) {
    if (first) yield lineOf(Object.keys(row));
    first = false;
    yield lineOf(Object.values(row));
  }
}

function lineOf(cells: readonly Cell[]): string {
  return `${cells.map(inCsv).join(",")}\n`;
}

function inCsv(cell: Cell): string {
  const text = String(cell ?? "");
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
