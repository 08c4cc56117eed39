import { describe, expect, it } from "vitest";
import { splitRecord } from "../../../daemon/recordings/csv-record.ts";
import * as fc from "../../at-random.ts";

const split = (text: string) => {
  const bytes = Buffer.from(text);
  return splitRecord(bytes, 0, bytes.length, 0x2c);
};

describe("splitRecord", () => {
  it.each([
    ["a,b\n", ["a", "b"]],
    ["a,b\r\n", ["a", "b"]],
    [",\n", ["", ""]],
    ["\n", [""]],
    ['"a,b",c\n', ["a,b", "c"]],
    ['"a ""b""",c\r\n', ['a "b"', "c"]],
    ['"",x\n', ["", "x"]],
    ['5" pipe,x\n', ['5" pipe', "x"]],
  ])("splits %j", (text, cells) => {
    expect(split(text)).toMatchObject({ cells, end: text.length, lines: 1, fault: null });
  });

  it("keeps a line break in quotes and counts the lines", () => {
    expect(split('"a\r\nb",c\nnext')).toMatchObject({ cells: ["a\r\nb", "c"], end: 9, lines: 2 });
  });

  it("says when text follows a closing quote", () => {
    expect(split('"a"b,c\n')?.fault).toBe("text after a closing quote");
  });

  it.each(["", "a,b", '"a\n', '"a"', "a,b\r"])("waits for the rest of %j", (text) => {
    expect(split(text)).toBeUndefined();
  });

  it("reads back whatever is written by the rules of RFC 4180", () => {
    fc.assert(
      fc.property(fc.array(fc.string({ unit: "grapheme" }), { minLength: 1 }), (cells) => {
        const text = `${cells.map((cell) => `"${cell.replaceAll('"', '""')}"`).join(",")}\r\n`;
        expect(split(text)?.cells).toEqual(cells);
      }),
    );
  });
});
