// A row of a recording from the texts of its cells: whatever the contract allows, and what is wrong with the rest.

import { parseDecimal } from "./decimal.ts";
import { type ProblemList, quoted } from "./problem-list.ts";
import type { PlannedColumn } from "./recording-columns.ts";
import type { RowTable } from "./row-table.ts";
import { parseMilliseconds, type TimestampReader } from "./timestamp.ts";

export interface TextRules {
  readonly timestamps: TimestampReader;
  /** Texts that mean 'no reading', beside the empty cell. */
  readonly missing: ReadonlySet<string>;
}

/**
 * Appends a row to a table, or says what is wrong with it.
 *
 * @param texts without blanks around them
 * @param line  line number in the file
 */
export function appendTexts(
  table: RowTable,
  plan: readonly PlannedColumn[],
  texts: readonly string[],
  rules: TextRules,
  line: number,
  problems: ProblemList,
): void {
  if (texts.length !== plan.length) {
    problems.add(line, `expected ${plan.length} cells as in the header, found ${texts.length}`);
    return;
  }
  const before = problems.count;
  plan.forEach((column, at) => {
    const text = texts[at] ?? "";
    const value = parseCell(column, text, rules);
    if (typeof value === "string") {
      problems.add(line, `${column.header}: ${value}, found ${quoted(text)}`);
    } else if ("channel" in column) {
      const values = table.columns[table.channels.indexOf(column.channel)];
      if (values) values[table.length] = value;
    } else if (column.holds !== "ignored") {
      table.time_ms[table.length] = value;
    }
  });
  if (problems.count === before) table.length += 1;
}

/** The cell in SI; NaN for 'no reading'; a text says what is expected. */
function parseCell(column: PlannedColumn, text: string, { timestamps, missing }: TextRules): number | string {
  if (column.holds === "time") return timestamps.parse(text);
  if (column.holds === "time_ms") return parseMilliseconds(text);
  if (column.holds === "ignored") return Number.NaN;
  if (text === "" || missing.has(text)) return Number.NaN;
  if (column.holds === "contact") return contacts.get(text.toLowerCase()) ?? "expected 1 or 0";
  const value = parseDecimal(text);
  return value === undefined ? "expected a number" : (value * column.times) / column.over;
}

const contacts = new Map([
  ["1", 1],
  ["0", 0],
  ["1.0", 1],
  ["0.0", 0],
  ["true", 1],
  ["false", 0],
]);
