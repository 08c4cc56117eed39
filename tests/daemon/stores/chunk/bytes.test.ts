import { describe, expect, it } from "vitest";
import { byteReader, byteWriter, fromZigzags, zigzagsOf } from "../../../../daemon/stores/chunk/bytes.ts";
import * as fc from "../../../at-random.ts";

const signed = fc.integer({ min: -(2 ** 52), max: 2 ** 52 - 1 });

describe("varints", () => {
  it("come back, one by one", () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.maxSafeNat(), signed)), (pairs) => {
        const out = byteWriter(1);
        for (const [natural, integer] of pairs) {
          out.varint(natural);
          out.zigzag(integer);
        }
        const from = byteReader(out.written());
        expect(pairs.map(() => [from.varint(), from.zigzag()])).toEqual(pairs);
        expect(from.left()).toBe(0);
      }),
    );
  });

  it("come back, many at once", () => {
    fc.assert(
      fc.property(fc.array(fc.oneof(signed, fc.integer({ min: -70, max: 70 }))), (integers) => {
        const bytes = zigzagsOf(Float64Array.from(integers));
        expect([...fromZigzags(bytes, integers.length)]).toEqual(integers);
      }),
    );
  });

  it("take one byte up to 127, two up to 16,383", () => {
    const lengthOf = (value: number) => {
      const out = byteWriter();
      out.varint(value);
      return out.written().length;
    };
    expect([0, 127, 128, 16_383, 16_384].map(lengthOf)).toEqual([1, 1, 2, 2, 3]);
  });

  it("that are too few, or too many, are damage", () => {
    expect(() => byteReader(Uint8Array.of(200)).varint()).toThrow("damaged");
    expect(() => byteReader(Uint8Array.of(1)).bytes(2)).toThrow("damaged");
    expect(() => fromZigzags(Uint8Array.of(1, 2), 3)).toThrow("damaged");
    expect(() => fromZigzags(Uint8Array.of(1, 2, 3), 2)).toThrow("damaged");
  });
});
