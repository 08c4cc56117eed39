import { describe, expect, it } from "vitest";
import { parseDecimal, readPlainDecimal } from "../../../daemon/recordings/decimal.ts";
import * as fc from "../../at-random.ts";

const plain = (text: string) => {
  const bytes = Buffer.from(`${text},`.padEnd(80));
  const cursor = { end: -1 };
  const value = readPlainDecimal(new DataView(bytes.buffer, bytes.byteOffset, bytes.length), 0, cursor);
  return { value, end: cursor.end };
};
const digits = (most: number) =>
  fc.array(fc.constantFrom(..."0123456789"), { maxLength: most }).map((list) => list.join(""));

describe("readPlainDecimal", () => {
  it("reads to the last bit what Number() reads", () => {
    fc.assert(
      fc.property(
        fc.constantFrom("", "-"),
        digits(9),
        fc.constantFrom("", "."),
        digits(9),
        (sign, whole, point, rest) => {
          const text = sign + whole + point + rest;
          const { value, end } = plain(text);
          if (Number.isNaN(value)) return; // left to parseDecimal
          expect(Object.is(value, Number(text))).toBe(true);
          expect(end).toBe(text.length);
        },
      ),
      { numRuns: 2000 },
    );
  });

  it.each(["0", "-0", "0.1", "355.1", "-12.", ".5", "123456789012345", "0.00000000000001"])("takes %s", (text) => {
    expect(Object.is(plain(text).value, Number(text))).toBe(true);
  });

  it.each(["", "-", ".", "+1", "1234567890123456", "x"])("leaves %j to the slower way", (text) => {
    expect(plain(text).value).toBeNaN();
  });

  it("stops before an exponent, so that the row is not taken as usual", () => {
    expect(plain("1e3").end).toBe(1);
  });
});

describe("parseDecimal", () => {
  it("reads every finite double back from its text", () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (value) => {
        expect(Object.is(parseDecimal(Object.is(value, -0) ? "-0" : String(value)), value)).toBe(true);
      }),
    );
  });

  it.each(["", "NaN", "Infinity", "1e999", "0x10", "1_000", "1,5", "--1", "1 2", "abc", "e5"])("refuses %j", (text) => {
    expect(parseDecimal(text)).toBeUndefined();
  });
});
