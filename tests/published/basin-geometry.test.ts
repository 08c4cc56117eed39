// Basin volumes against exact figures (1 US gal = 231 in³), and against the trade's rounded gallons per inch.

import { describe, expect, it } from "vitest";
import { basinGeometry } from "../../analysis/geometry/basin.ts";
import { fromSi, toSi } from "../../analysis/units/unit.ts";

function roundBasin(diameter_m: number) {
  return basinGeometry({ shape: "round", diameter_m, occupiedArea_m2: 0 });
}

describe("round basins", () => {
  // Exact: π/4·d².
  it.each([
    [15, 0.765, 2.89583, 1.14009],
    [16, 0.8704, 3.29481, 1.29717],
    [18, 1.1016, 4.17, 1.64173],
    [20, 1.36, 5.14815, 2.02683],
    [22, 1.6456, 6.22926, 2.45246],
    [24, 1.9584, 7.41333, 2.91864],
    [30, 3.05999, 11.58333, 4.56037],
    [36, 4.40639, 16.68, 6.56693],
  ])("%d in across hold %d gal and %d L per inch, %d L per cm", (diameter_in, gallons, litres, litresPerCm) => {
    const basin = roundBasin(toSi(diameter_in, "in"));
    const perInch_m3 = basin.volume_m3(toSi(10, "in")) - basin.volume_m3(toSi(9, "in"));
    expect(fromSi(perInch_m3, "gal")).toBeCloseTo(gallons, 5);
    expect(fromSi(perInch_m3, "L")).toBeCloseTo(litres, 5);
    expect(fromSi(basin.volume_m3(0.01), "L")).toBeCloseTo(litresPerCm, 5);
  });

  it.each([
    [300, 0.070686],
    [400, 0.125664],
    [450, 0.159043],
    [600, 0.282743],
    [750, 0.441786],
  ])("%d mm across have %d m² of water", (diameter_mm, area_m2) => {
    expect(roundBasin(diameter_mm / 1000).area_m2(0.3)).toBeCloseTo(area_m2, 6);
  });

  // Common practice, no source.
  it.each([
    [18, 1, -0.092],
    [24, 2, 0.021],
  ])("%d in across: the trade's %d gal per inch is off by as much as is known", (diameter_in, trade, error) => {
    const exact = fromSi(roundBasin(toSi(diameter_in, "in")).volume_m3(toSi(1, "in")), "gal");
    expect(trade / exact - 1).toBeCloseTo(error, 3);
  });
});

describe("a basin that widens upwards, given as a table", () => {
  /** 24 in high, 15 in across at the bottom, 18 in at the top; a row every 0.8 in. V = πh/12·(d² + d·D + D²). */
  const rows = Array.from({ length: 31 }, (_, i) => {
    const level_in = 0.8 * i;
    const across_in = 15 + level_in / 8;
    const volume_in3 = ((Math.PI * level_in) / 12) * (225 + 15 * across_in + across_in ** 2);
    return { level_m: toSi(level_in, "in"), volume_m3: toSi(volume_in3, "in3") };
  });
  const basin = basinGeometry({ shape: "table", rows });
  const volume_gal = (level_in: number) => fromSi(basin.volume_m3(toSi(level_in, "in")), "gal");

  it("holds 22.276748 gal in all", () => {
    expect(volume_gal(24)).toBeCloseTo(22.276748, 6);
  });

  it("holds 9.121187 gal between 6 and 16 in, to what a straight line between rows costs", () => {
    expect(Math.abs((volume_gal(16) - volume_gal(6)) / 9.121187 - 1)).toBeLessThan(2e-4);
  });

  it("rises by an inch for 0.911676 gal at 11 in", () => {
    const gallonsPerInch = fromSi(basin.area_m2(toSi(11, "in")) * toSi(1, "in"), "gal");
    expect(Math.abs(gallonsPerInch / 0.911676 - 1)).toBeLessThan(0.005);
  });
});
