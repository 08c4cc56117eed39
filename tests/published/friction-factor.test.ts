// The friction factor against Colebrook–White to many digits, and against factors printed in textbooks.

import { describe, expect, it } from "vitest";
import { frictionFactor } from "../../analysis/hydraulics/friction-factor.ts";
import { pipeLoss_m } from "../../analysis/hydraulics/pipe-loss.ts";
import { waterKinematicViscosity_m2s } from "../../analysis/hydraulics/water.ts";

describe("Colebrook–White", () => {
  // mpmath with 30 digits; fluids.friction 1.0.22 agrees to all digits shown.
  it.each([
    [4000, 0, 0.03990701],
    [1e4, 0, 0.03088295],
    [1e5, 0, 0.01798977],
    [1e6, 0, 0.01164504],
    [1e4, 1e-4, 0.03103721],
    [1e5, 1e-4, 0.01851387],
    [1e5, 1e-3, 0.02217454],
    [1e6, 1e-4, 0.01344144],
    [1e6, 1e-3, 0.01994347],
    [1e5, 0.01, 0.03850354],
    [1e7, 0.05, 0.07155298],
    [60_000, 3.7e-5, 0.0202138],
    [80_000, 3.7e-5, 0.01903068],
  ])("at Re %d, ε/D %d", (reynolds, roughness, expected) => {
    expect(Math.abs(frictionFactor(reynolds, roughness) - expected)).toBeLessThanOrEqual(0.5001e-8);
  });
});

describe("printed friction factors", () => {
  // Tolerance: half a unit of the last digit printed; the first two read a chart or an approximation.
  it.each([
    ["Munson et al., Fundamentals of Fluid Mechanics, Ex. 8.8 (from the chart)", 45_000, 8e-5, 0.0215, 0.0002],
    ["Lienhard, A Heat Transfer Textbook, Ex. 7.4 (by Haaland)", 573_691, 260e-6 / 0.12, 0.02424, 0.0002],
    ["Çengel & Cimbala, Fluid Mechanics, Ex. 8-3", 134_126, 0.002 / 50, 0.0172, 0.00005],
    ["Çengel & Cimbala, Fluid Mechanics, Ex. 8-8", 116_865, 0.26 / 50, 0.0315, 0.00005],
    ["Technical Paper No. 410, Ex. 7-1 (smooth plastic)", 100_600, 0, 0.0179, 0.0001],
    ["Chapra & Canale, Numerical Methods for Engineers, pipe friction", 13_743, 0.0015 / 5, 0.028968, 0.0000005],
    ["White, Fluid Mechanics, Ex. 6.16", 139_000, 0.001, 0.0216, 0.00005],
  ])("%s", (_, reynolds, roughness, printed, tolerance) => {
    expect(Math.abs(frictionFactor(reynolds, roughness) - printed)).toBeLessThanOrEqual(tolerance);
  });
});

describe("printed losses", () => {
  const area_m2 = (diameter_m: number) => (Math.PI / 4) * diameter_m ** 2;

  it("Çengel & Cimbala, Ex. 8-2, laminar: 4.46 m", () => {
    const run = { insideDiameter_m: 0.003, length_m: 9, roughness_m: 0, lossCoefficient: 0 };
    expect(pipeLoss_m(run, 0.9 * area_m2(0.003), 1.519e-6)).toBeCloseTo(4.46, 2);
  });

  it("Çengel & Cimbala, Ex. 8-3, smooth steel: 9.85 m with f rounded to 0.0172", () => {
    const run = { insideDiameter_m: 0.05, length_m: 60, roughness_m: 2e-6, lossCoefficient: 0 };
    const rounded = 0.0172 / 0.0171884;
    expect(pipeLoss_m(run, 0.006, 1.138e-3 / 999) * rounded).toBeCloseTo(9.85, 1);
  });

  it("water main of 1.2 m, k 0.60 mm, at a gradient of 1 in 250: 2.363 m/s (velocity form, ν 1.005e-6)", () => {
    // 2.3616 m/s by the formula; the source rounds 2.51 to 2.5 and its logarithm. 0.1 % of velocity is 0.2 % of loss.
    const run = { insideDiameter_m: 1.2, length_m: 250, roughness_m: 0.6e-3, lossCoefficient: 0 };
    expect(Math.abs(pipeLoss_m(run, 2.363 * area_m2(1.2), 1.005e-6) - 1)).toBeLessThan(0.002);
  });

  it("Re 116 865 of Çengel & Cimbala, Ex. 8-8, comes of the viscosity that this program has at 10 °C", () => {
    // 6 L/s in 50 mm
    const reynolds = ((0.006 / area_m2(0.05)) * 0.05) / waterKinematicViscosity_m2s(10);
    expect(Math.abs(reynolds / 116_865 - 1)).toBeLessThan(0.001);
  });
});
