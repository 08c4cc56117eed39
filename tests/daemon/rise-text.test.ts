import { describe, expect, it } from "vitest";
import { parseRise } from "../../daemon/rise-text.ts";

describe("a rise as a person writes it", () => {
  it.each([
    ["20 in in 60 s", 0.508, 60, null],
    ["20 in in 1 min", 0.508, 60, null],
    ["8-1/8 in in 60 s", 0.206375, 60, null],
    ["1/2 ft in 2.5 min", 0.1524, 150, null],
    ["52 mm in 300 s from 150 mm", 0.052, 300, 0.15],
    ["  5 cm IN 90 s  ", 0.05, 90, null],
    ['20" in 60 s', 0.508, 60, null],
  ])("%s", (text, rise_m, watched_s, from_m) => {
    const rise = parseRise(text);
    expect(rise.rise_m).toBeCloseTo(rise_m, 9);
    expect(rise).toMatchObject({ watched_s, from_m });
  });

  it.each(["20 in", "in in 60 s", "20 in in", "60 s in 20 in", "20 in in 60", "20 in over 60 s"])(
    "refuses %j, with what is expected",
    (text) => {
      expect(() => parseRise(text)).toThrow(/expected/);
    },
  );
});
