// Numbers as recordings write them, from bytes or from text, exactly as Number() reads them. No unit is known here.

/** Where a reader of bytes stopped: the position after the last byte it took. */
export interface ByteCursor {
  end: number;
}

const MINUS = 0x2d;
const POINT = 0x2e;
const ZERO = 0x30;

// A whole number of up to 15 digits and a power of ten up to 10^22 are both exact in a double, so that their
// quotient is the correctly rounded value of the text (W. D. Clinger, "How to read floating point numbers accurately", 1990).
const maximumDigits = 15;
const powersOfTen = Float64Array.from({ length: maximumDigits + 1 }, (_, exponent) => 10 ** exponent);

/**
 * Reads a plain decimal, `-12.5`, from bytes.
 *
 * @returns the number, with `cursor.end` after it; NaN when it is not that plain and wants `parseDecimal`
 */
export function readPlainDecimal(view: DataView, start: number, cursor: ByteCursor): number {
  let position = start;
  let byte = view.getUint8(position);
  const negative = byte === MINUS;
  if (negative) byte = view.getUint8(++position);
  let digits = 0;
  let whole = 0;
  for (let digit = byte - ZERO; digit >= 0 && digit <= 9; digit = byte - ZERO) {
    whole = whole * 10 + digit;
    digits += 1;
    byte = view.getUint8(++position);
  }
  let fraction = 0;
  if (byte === POINT) {
    byte = view.getUint8(++position);
    for (let digit = byte - ZERO; digit >= 0 && digit <= 9; digit = byte - ZERO) {
      whole = whole * 10 + digit;
      fraction += 1;
      byte = view.getUint8(++position);
    }
    digits += fraction;
  }
  if (digits === 0 || digits > maximumDigits) return Number.NaN;
  cursor.end = position;
  const value = fraction === 0 ? whole : whole / (powersOfTen[fraction] as number);
  return negative ? -value : value;
}

const decimal = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?$/;

/** The number that a text writes in decimal digits; undefined for anything else, also for what overflows to infinity. */
export function parseDecimal(text: string): number | undefined {
  if (!decimal.test(text)) return undefined;
  const value = Number(text);
  return Number.isFinite(value) ? value : undefined;
}
