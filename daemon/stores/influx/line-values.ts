// Values of fields as the line protocol writes them, exactly; and out of a row of an answer again. The client writes
// every number as a float and mangles some texts, so it is handed these, which it takes as they stand.

/** Text of a field's value in the line protocol. */
export interface LineValue {
  toString(): string;
}

export type Fields = Record<string, LineValue>;

/** One row of an answer: columns by name. */
export type Row = Readonly<Record<string, unknown>>;

function asLine(text: string): LineValue {
  return { toString: () => text };
}

export function lineInteger(value: number): LineValue {
  if (!Number.isSafeInteger(value))
    throw new RangeError(`lineInteger: expected a whole number below 2^53, found ${value}`);
  return asLine(`${value + 0}i`); // + 0: of −0 too
}

/** The line protocol has no infinity: the largest number of all stands for it. */
export function lineFloat(value: number): LineValue {
  if (Number.isNaN(value)) throw new RangeError("lineFloat: found NaN; what is not known is null");
  if (!Number.isFinite(value)) return asLine(String(Math.sign(value) * Number.MAX_VALUE));
  return asLine(Object.is(value, -0) ? "-0" : String(value));
}

/** A bit each in the database. */
export function lineBoolean(value: boolean): LineValue {
  return asLine(value ? "t" : "f");
}

export function lineText(text: string): LineValue {
  return asLine(`"${text.replaceAll(/["\\]/g, "\\$&")}"`);
}

export function numberIn(row: Row, name: string): number | null {
  const value = row[name];
  if (typeof value !== "number") return null;
  return Math.abs(value) === Number.MAX_VALUE ? Math.sign(value) * Number.POSITIVE_INFINITY : value;
}

export function textIn(row: Row, name: string): string | null {
  const value = row[name];
  return typeof value === "string" ? value : null;
}

export function booleanIn(row: Row, name: string): boolean | null {
  const value = row[name];
  return typeof value === "boolean" ? value : null;
}
