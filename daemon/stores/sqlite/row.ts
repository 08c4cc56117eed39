// Values of a database row, checked where they enter. The tables are STRICT, so a wrong type means a damaged file.

import type { SQLOutputValue } from "node:sqlite";
import { StoreError } from "../store-error.ts";

export type Row = Record<string, SQLOutputValue>;

export function numberOrNull(value: SQLOutputValue | undefined): number | null {
  if (typeof value === "number" || value === null) return value;
  throw new StoreError(`the store holds a ${typeof value} where a number belongs; the file is damaged`);
}

export function number(value: SQLOutputValue | undefined): number {
  if (typeof value === "number") return value;
  throw new StoreError(
    `the store holds ${value === null ? "nothing" : `a ${typeof value}`} where a number belongs; the file is damaged`,
  );
}
