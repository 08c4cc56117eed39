import { describe, expect, it } from "vitest";
import {
  waterDensity_kgm3,
  waterKinematicViscosity_m2s,
  waterViscosity_pas,
} from "../../../analysis/hydraulics/water.ts";
import * as fc from "../../at-random.ts";

describe("water", () => {
  it("is heaviest at 4 °C, as Tanaka et al. (2001) found: 999.975 kg/m³", () => {
    expect(waterDensity_kgm3(3.983035)).toBe(999.97495);
    for (const t of [0, 3, 5, 20, 40]) expect(waterDensity_kgm3(t)).toBeLessThan(999.97495);
  });

  it("gets thinner as it warms", () => {
    const temperature = fc.double({ min: 0, max: 39.9, noNaN: true });
    fc.assert(
      fc.property(temperature, (t) => {
        expect(waterViscosity_pas(t + 0.1)).toBeLessThan(waterViscosity_pas(t));
        expect(waterKinematicViscosity_m2s(t)).toBeCloseTo(waterViscosity_pas(t) / waterDensity_kgm3(t), 15);
      }),
    );
  });

  it("says that ice and steam are none of its business", () => {
    expect(() => waterDensity_kgm3(-1)).toThrow("-1 °C");
    expect(() => waterViscosity_pas(41)).toThrow("from 0 to 40 °C");
    expect(() => waterKinematicViscosity_m2s(Number.NaN)).toThrow("NaN °C");
  });
});
