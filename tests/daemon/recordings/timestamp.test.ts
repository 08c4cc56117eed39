import { describe, expect, it } from "vitest";
import { localTime } from "../../../daemon/recordings/local-time.ts";
import { parseMilliseconds, timestampReader } from "../../../daemon/recordings/timestamp.ts";
import * as fc from "../../at-random.ts";

const utc = timestampReader(null);

function readBytes(text: string, reader = timestampReader(null)): { value: number; end: number } {
  const bytes = Buffer.from(`${text},`.padEnd(80));
  const cursor = { end: -1 };
  return { value: reader.read(new DataView(bytes.buffer, bytes.byteOffset, bytes.length), 0, cursor), end: cursor.end };
}

describe("timestampReader", () => {
  // 2026-03-08T14:05:09Z is 1772978709 s: 20 520 days · 86 400 s + 50 709 s.
  it.each([
    ["2026-03-08T14:05:09Z", 1772978709000],
    ["2026-03-08 14:05:09Z", 1772978709000],
    ["2026-03-08t14:05:09z", 1772978709000],
    ["2026-03-08T14:05:09.250Z", 1772978709250],
    ["2026-03-08T14:05:09.5Z", 1772978709500],
    ["2026-03-08T14:05:09,5Z", 1772978709500],
    ["2026-03-08T14:05:09.000500Z", 1772978709000.5],
    ["2026-03-08T09:05:09-05:00", 1772978709000],
    ["2026-03-08T09:05:09-0500", 1772978709000],
    ["2026-03-08T15:05:09+01", 1772978709000],
    ["2026-03-08T19:35:09+05:30", 1772978709000],
    ["2026-03-08T14:05Z", 1772978700000],
    ["20260308T140509Z", 1772978709000],
    ["2026-03-08T14:05:60Z", 1772978760000],
    ["1969-12-31T23:59:59.999Z", -1],
    ["0001-01-01T00:00:00Z", -62135596800000],
  ])("reads %s", (text, expected) => {
    expect(utc.parse(text)).toBe(expected);
    const { value, end } = readBytes(text);
    if (!Number.isNaN(value)) expect([value, end]).toEqual([expected, text.length]);
  });

  it.each([
    "",
    "2026-03-08",
    "03/08/2026 14:05",
    "2026-02-29T00:00:00Z",
    "2026-13-01T00:00:00Z",
    "2026-03-08T24:00:00Z",
    "2026-03-08T14:60:00Z",
    "2026-03-08T14:05:61Z",
    "2026-03-08T14:05:09",
    "2026-03-08T14:05:09+25:00",
    "2026-03-08T14:05:09 Z",
    "2026-03-08T14:05:09ZZ",
    "1772978709",
  ])("refuses %j, by bytes and by text", (text) => {
    expect(utc.parse(text)).toMatch(/^expected/);
    const { value, end } = readBytes(text);
    if (!Number.isNaN(value)) expect(end).toBeLessThan(text.length);
  });

  it("reads by bytes what every time of four centuries is, in any mixture of minutes", () => {
    const reader = timestampReader(null);
    fc.assert(
      fc.property(
        fc.date({ min: new Date("1800-01-01"), max: new Date("2200-01-01"), noInvalidDate: true }),
        (date) => {
          expect(readBytes(date.toISOString(), reader)).toEqual({ value: date.getTime(), end: 24 });
          expect(reader.parse(date.toISOString())).toBe(date.getTime());
        },
      ),
    );
  });

  it("reads a stamp without offset only in a known zone", () => {
    const toronto = timestampReader(localTime("America/Toronto") ?? null);
    expect(readBytes("2026-01-15 09:00:00", toronto)).toEqual({ value: Date.UTC(2026, 0, 15, 14), end: 19 });
    expect(toronto.parse("2026-07-15T09:00")).toBe(Date.UTC(2026, 6, 15, 13));
    expect(toronto.parse("2026-07-15T09:00Z")).toBe(Date.UTC(2026, 6, 15, 9));
    expect(utc.parse("2026-01-15 09:00:00")).toContain("the recording's time zone");
  });
});

describe("parseMilliseconds", () => {
  it("takes whole milliseconds only", () => {
    expect(parseMilliseconds("1772978709000")).toBe(1772978709000);
    expect(parseMilliseconds("-1")).toBe(-1);
    for (const text of ["", "1.5", "1e12", "8640000000000001", "abc"])
      expect(parseMilliseconds(text)).toMatch(/^expected/);
  });
});
