// Records that are written again as more becomes known of them. The database keeps a field that the newer point leaves
// out, so each point says which of its fields hold.

import {
  type Fields,
  type LineValue,
  lineFloat,
  lineInteger,
  lineText,
  numberIn,
  type Row,
  textIn,
} from "./line-values.ts";

type Value = number | string | null | undefined;

/**
 * @param names in an order that never changes, at most 50; new ones come at the end
 * @throws {RangeError} naming a figure that is NaN
 */
export function putKnown<Name extends string>(
  fields: Fields,
  names: readonly Name[],
  values: Readonly<Partial<Record<Name, Value>>>,
): void {
  let known = 0;
  for (const [i, name] of names.entries()) {
    const value = values[name] ?? null;
    if (value === null) continue;
    known += 2 ** i;
    fields[name] = lineValue(name, value);
  }
  fields.known = lineInteger(known);
}

/** The fields that hold; null where none does, as of a record that was taken back. */
export function knownIn<Name extends string>(row: Row, names: readonly Name[]): Row | null {
  const known = numberIn(row, "known") ?? 0;
  if (known === 0) return null;
  const holding: Record<string, unknown> = { time: row.time };
  for (const [i, name] of names.entries()) {
    if (Math.floor(known / 2 ** i) % 2 === 1) holding[name] = row[name];
  }
  return holding;
}

/** The row has it, or the database holds what no board wrote. */
export function needed(row: Row, name: string): number {
  return numberIn(row, name) ?? missing(name);
}

export function neededText(row: Row, name: string): string {
  return textIn(row, name) ?? missing(name);
}

function missing(name: string): never {
  throw new RangeError(`the database holds a record without ${name}; it was not written by undercroft`);
}

function lineValue(name: string, value: number | string): LineValue {
  if (typeof value === "string") return lineText(value);
  if (Number.isNaN(value)) throw new RangeError(`${name} is NaN; what is not known is null`);
  return lineFloat(value);
}
