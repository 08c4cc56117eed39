// Columns of a row, each as what it must be. By hand: messages are read on the way of an alarm, where a schema's parser
// took longer than SQLite.

import type { SQLOutputValue } from "node:sqlite";

export type Row = Readonly<Record<string, SQLOutputValue>>;

export function text(row: Row, column: string): string {
  const found = row[column];
  return typeof found === "string" ? found : refuse(column, "a text", found);
}

export function number(row: Row, column: string): number {
  const found = row[column];
  return typeof found === "number" ? found : refuse(column, "a number", found);
}

export function textOrNull(row: Row, column: string): string | null {
  return row[column] === null ? null : text(row, column);
}

export function numberOrNull(row: Row, column: string): number | null {
  return row[column] === null ? null : number(row, column);
}

export function oneOf<Name extends string>(row: Row, column: string, all: readonly Name[]): Name {
  const found = row[column];
  return all.find((name) => name === found) ?? refuse(column, `one of ${all.join(", ")}`, found);
}

/** Keys and figures, kept as JSON. */
export function flatRecord(row: Row, column: string): Record<string, number | string | boolean | null> {
  const kept = text(row, column);
  let found: unknown;
  try {
    found = JSON.parse(kept);
  } catch {
    return refuse(column, "JSON", kept);
  }
  return isFlat(found) ? found : refuse(column, "an object of plain values", kept);
}

function isFlat(found: unknown): found is Record<string, number | string | boolean | null> {
  if (typeof found !== "object" || found === null || Array.isArray(found)) return false;
  return Object.values(found).every((value) => value === null || typeof value !== "object");
}

function refuse(column: string, expected: string, found: SQLOutputValue | undefined): never {
  throw new TypeError(`outbox: ${column}: expected ${expected}, found ${JSON.stringify(String(found))}`);
}
