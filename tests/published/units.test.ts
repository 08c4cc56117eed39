// Conversion factors against NIST Special Publication 811, appendix B; exact ones to the last digit.

import { describe, expect, it } from "vitest";
import { fromSi, toSi, type Unit } from "../../analysis/units/unit.ts";

describe("NIST SP 811", () => {
  it.each<[number, Unit, number]>([
    [1, "gal", 3.785411784e-3],
    [1, "in", 0.0254],
    [1, "ft", 0.3048],
    [1, "in3", 16.387064e-6],
    [1, "ft3", 0.028316846592],
    [1, "gpm", 0.0630901964e-3],
    [1, "L/min", 1 / 60_000],
    [1, "m3/h", 1 / 3600],
  ])("%d %s is exactly %d in SI", (value, unit, si) => {
    expect(Math.abs(toSi(value, unit) / si - 1)).toBeLessThan(1e-15);
  });

  it("makes a horsepower 745.6998716 W and a gallon per minute 0.22712470704 m³/h", () => {
    expect(toSi(1, "hp")).toBeCloseTo(745.6998716, 7);
    expect(fromSi(toSi(1, "gpm"), "m3/h")).toBeCloseTo(0.22712470704, 14);
  });

  it("makes a cubic foot 7.480519481 gallons, and a cubic foot a second 448.8311688 gallons a minute", () => {
    expect(fromSi(toSi(1, "ft3"), "gal")).toBeCloseTo(7.480519481, 9);
    expect(fromSi(toSi(1, "ft3"), "gpm")).toBeCloseTo(448.8311688, 7);
  });

  it("has °F = 1.8 °C + 32", () => {
    expect(fromSi(10, "°F")).toBe(50);
    expect(fromSi(-40, "°F")).toBe(-40);
    expect(toSi(212, "°F")).toBe(100);
  });
});
