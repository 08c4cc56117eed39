import { describe, expect, it } from "vitest";
import { lineOf } from "../../../../daemon/stores/exchange/line-protocol.ts";

describe("lineOf", () => {
  it("writes series, fields and time, a tag's spaces and commas escaped", () => {
    const fields = { a: { toString: () => "1i" }, b: { toString: () => '"x y"' } };
    const tags = { basin: "elm-street-7", kind: "a b,c=d" };
    expect(lineOf({ policy: "raw", measurement: "reading", tags, fields, timestamp: "1767614400000000000" })).toBe(
      'reading,basin=elm-street-7,kind=a\\ b\\,c\\=d a=1i,b="x y" 1767614400000000000\n',
    );
  });
});
