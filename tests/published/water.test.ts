// Water against the tables of the International Association for the Properties of Water and Steam.

import { describe, expect, it } from "vitest";
import { waterDensity_kgm3, waterKinematicViscosity_m2s, waterViscosity_pas } from "../../analysis/hydraulics/water.ts";
import { toSi } from "../../analysis/units/unit.ts";

describe("water at the pressure of the air", () => {
  // IAPWS-95 density and IAPWS 2008 viscosity, by the iapws library 1.5.2: °C, kg/m³, mPa·s, 1e-6 m²/s.
  it.each([
    [0, 999.843, 1.7918, 1.792],
    [5, 999.967, 1.5182, 1.5182],
    [10, 999.702, 1.3059, 1.3063],
    [15, 999.103, 1.1376, 1.1386],
    [20, 998.207, 1.0016, 1.0034],
    [25, 997.048, 0.89, 0.8927],
  ])("has the density and viscosity of IAPWS-95 and IAPWS 2008 at %d °C", (t, density, viscosity, kinematic) => {
    expect(Math.abs(waterDensity_kgm3(t) / density - 1)).toBeLessThan(1e-5);
    expect(Math.abs(waterViscosity_pas(t) / (viscosity * 1e-3) - 1)).toBeLessThan(0.001);
    expect(Math.abs(waterKinematicViscosity_m2s(t) / (kinematic * 1e-6) - 1)).toBeLessThan(0.001);
  });

  // The same, °F, lb/ft³ and ft²/s.
  it.each([
    [32, 62.418, 1.928e-5],
    [40, 62.426, 1.663e-5],
    [50, 62.409, 1.406e-5],
    [60, 62.367, 1.208e-5],
    [70, 62.301, 1.052e-5],
  ])("and in the units of the trade at %d °F", (fahrenheit, density, kinematic) => {
    const t = toSi(fahrenheit, "°F");
    const pound_kg = 0.45359237;
    expect(waterDensity_kgm3(t) * (0.3048 ** 3 / pound_kg)).toBeCloseTo(density, 3);
    expect(Math.abs(waterKinematicViscosity_m2s(t) / 0.3048 ** 2 / kinematic - 1)).toBeLessThan(0.001);
  });

  it("has 889.7351 µPa·s at 25 °C and 998 kg/m³ (IAPWS R12-08, table 4), nearly so at the density it has there", () => {
    expect(Math.abs(waterViscosity_pas(25) / 889.7351e-6 - 1)).toBeLessThan(0.001);
  });
});
