// The volume between the floats against published wet-well formulas, and cases worked from them.

import { describe, expect, it } from "vitest";
import { cycling, largestPump_m3s, mostStartsPerHour, volumeForStarts_m3 } from "../../analysis/sizing/cycling.ts";
import { fromSi, toSi } from "../../analysis/units/unit.ts";

const gal = (value: number) => toSi(value, "gal");
const gpm = (value: number) => toSi(value, "gpm");

describe("MIL-HDBK-1005/9A, 2.5.3.6: t = (V/D)·[1/(1 − Q/D) + 1/(Q/D)]", () => {
  // V gal, D gpm, Q gpm → fill, pump-down and cycle in minutes, starts in an hour: exact arithmetic with the formula.
  it.each([
    [11.016, 40, 5, 2.2032, 0.314743, 2.517943, 23.829],
    [11.016, 40, 20, 0.5508, 0.5508, 1.1016, 54.4662],
    [11.016, 40, 35, 0.314743, 2.2032, 2.517943, 23.829],
    [60, 40, 20, 3, 3, 6, 10],
    [100, 40, 20, 5, 5, 10, 6],
  ])("%d gal, pump %d gpm, inflow %d gpm", (volume, pump, inflow, fill, run, cycle, starts) => {
    const found = cycling(gal(volume), gpm(pump), gpm(inflow));
    expect((found.fill_s ?? 0) / 60).toBeCloseTo(fill, 6);
    expect((found.run_s ?? 0) / 60).toBeCloseTo(run, 6);
    expect((found.cycle_s ?? 0) / 60).toBeCloseTo(cycle, 6);
    expect(found.startsPerHour).toBeCloseTo(starts, 4);
  });

  it("has its shortest cycle, 4V/D, when half of what the pump moves comes in", () => {
    const most = mostStartsPerHour(gal(11.016), gpm(40));
    expect(most).toBeCloseTo((15 * 40) / 11.016, 9);
    expect(cycling(gal(11.016), gpm(40), gpm(20)).startsPerHour).toBeCloseTo(most, 9);
    expect(cycling(gal(11.016), gpm(40), gpm(21)).startsPerHour).toBeLessThan(most);
  });

  it("never empties at an inflow of all that the pump moves, and never fills at none", () => {
    expect(cycling(gal(10), gpm(40), gpm(40))).toMatchObject({ run_s: null, cycle_s: null, startsPerHour: 0 });
    expect(cycling(gal(10), gpm(40), 0)).toMatchObject({ fill_s: null, cycle_s: null, startsPerHour: 0 });
  });
});

describe("V = T·Q/4 (UFC 3-240-04A, 2004, chapter 7)", () => {
  it.each([
    [gpm(40), 10, gal(60)],
    [gpm(40), 6, gal(100)],
    [0.0025, 10, 0.225],
    [0.0025, 6, 0.375],
  ])("of a pump of %d m³/s started %d times an hour", (pump, starts, volume) => {
    expect(volumeForStarts_m3(pump, starts)).toBeCloseTo(volume, 12);
    expect(largestPump_m3s(volume, starts)).toBeCloseTo(pump, 12);
  });

  it("is halved for two equal pumps that take turns", () => {
    expect(volumeForStarts_m3(gpm(40), 10, true)).toBeCloseTo(gal(30), 12);
  });

  it("is 2·Q/n cubic feet, the form for agricultural drainage (from memory), to its rounding of a quarter of a per cent", () => {
    expect(fromSi(volumeForStarts_m3(gpm(40), 10), "ft3")).toBeCloseTo((2.005208 * 40) / 10, 5);
  });
});
