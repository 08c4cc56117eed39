// Rows as lines of CSV (RFC 4180), the header first.

export type Cell = string | number | null;

/** The header is there without any row, too. */
export function* csvLines<Column extends string>(
  columns: readonly Column[],
  rows: Iterable<Readonly<Record<Column, Cell>>>,
): Generator<string> {
  yield lineOf(columns);
  for (const row of rows) yield lineOf(columns.map((column) => row[column]));
}

function lineOf(cells: readonly Cell[]): string {
  return `${cells.map(inCsv).join(",")}\n`;
}

function inCsv(cell: Cell): string {
  const text = String(cell ?? "");
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
