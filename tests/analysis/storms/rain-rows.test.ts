import { describe, expect, it } from "vitest";
import { rainFromRows } from "../../../analysis/storms/rain-rows.ts";

const row = (time_s: number, rain_mm: number) => ({ time_s, rain_m: rain_mm / 1000 });

describe("rainFromRows", () => {
  it("takes even steps as they are, and a silence among them for a gap", () => {
    const rows = [row(900, 0), row(1800, 1), row(2700, 0), row(90_000, 2), row(90_900, 0)];
    expect(rainFromRows(rows)).toEqual([
      { from_s: 0, to_s: 900, rain_m: 0 },
      { from_s: 900, to_s: 1800, rain_m: 0.001 },
      { from_s: 1800, to_s: 2700, rain_m: 0 },
      { from_s: 89_100, to_s: 90_000, rain_m: 0.002 },
      { from_s: 90_000, to_s: 90_900, rain_m: 0 },
    ]);
  });

  it("takes a list that only speaks of rain to be dry between", () => {
    const stretches = rainFromRows([row(900, 1), row(1800, 2), row(2700, 1), row(90_000, 3)]);
    expect(stretches?.at(-2)).toEqual({ from_s: 2700, to_s: 89_100, rain_m: 0 });
    expect(stretches?.at(-1)).toEqual({ from_s: 89_100, to_s: 90_000, rain_m: 0.003 });
  });

  it("takes days as days, in any order, and leaves out what is no depth", () => {
    const day_s = 86_400;
    const rows = [
      row(3 * day_s, 5),
      row(day_s, 0),
      row(2 * day_s, 7),
      row(2.5 * day_s, -1),
      row(4 * day_s, Number.NaN),
    ];
    expect(rainFromRows(rows)?.map(({ rain_m }) => rain_m)).toEqual([0, 0.007, 0.005]);
  });

  it("has nothing to say of a single row", () => {
    expect(rainFromRows([row(0, 4)])).toBeNull();
  });
});
