// The pipe table against the dimensions of the standards, and the velocity in it against the trade's formula.

import { describe, expect, it } from "vitest";
import { lossCoefficient } from "../../analysis/hydraulics/fitting-loss.ts";
import { pipeSizes } from "../../analysis/hydraulics/pipe-table.ts";
import { pipeVelocity_ms } from "../../analysis/hydraulics/velocity-head.ts";
import type { FittingKind, PipeMaterial } from "../../analysis/site.ts";
import { toSi } from "../../analysis/units/unit.ts";

function bore_mm(material: PipeMaterial, label: string): number {
  return 1000 * (pipeSizes(material).find((size) => size.label === label)?.insideDiameter_m ?? Number.NaN);
}

describe("inside diameters", () => {
  // ASTM D1785, outside diameter less two minimum walls, mm.
  it.each([
    ["1-1/4 in", 35.052, 32.461],
    ["1-1/2 in", 40.894, 38.1],
    ["2 in", 52.502, 49.251],
    ["3 in", 77.927, 73.66],
  ])("PVC %s, schedules 40 and 80 (ASTM D1785)", (label, schedule40, schedule80) => {
    expect(bore_mm("pvc-40", label)).toBeCloseTo(schedule40, 3);
    expect(bore_mm("pvc-80", label)).toBeCloseTo(schedule80, 3);
  });

  it.each([
    ["32 mm", 26, 28],
    ["40 mm", 32.6, 35.2],
    ["50 mm", 40.8, 44],
    ["63 mm", 51.4, 55.4],
    ["75 mm", 61.4, 66],
    ["90 mm", 73.6, 79.2],
  ])("PE 100 %s, SDR 11 and 17 (ISO 4427-2:2007)", (label, sdr11, sdr17) => {
    expect(bore_mm("pe-sdr11", label)).toBeCloseTo(sdr11, 9);
    expect(bore_mm("pe-sdr17", label)).toBeCloseTo(sdr17, 9);
  });

  // ASTM B88 type L, inches.
  it.each([
    ["3/4 in", 0.785],
    ["1 in", 1.025],
    ["1-1/4 in", 1.265],
    ["1-1/2 in", 1.505],
    ["2 in", 1.985],
    ["3 in", 2.945],
  ])("copper %s (ASTM B88 type L)", (label, inside_in) => {
    expect(bore_mm("copper-l", label)).toBeCloseTo(inside_in * 25.4, 9);
  });
});

describe("velocity", () => {
  // V[ft/s] = 0.4085 · gpm / d², exactly 0.40849769: 2 ft/s, the least that keeps a force main clean.
  it.each([
    ["1-1/4 in", 9.32],
    ["1-1/2 in", 12.69],
  ])("%s schedule 40 runs at 2 ft/s with %d gpm", (label, gpm) => {
    const velocity_fts = pipeVelocity_ms(toSi(gpm, "gpm"), bore_mm("pvc-40", label) / 1000) / 0.3048;
    expect(velocity_fts).toBeCloseTo(2, 2);
  });
});

describe("loss coefficients", () => {
  // EPANET 2.2 User Manual, table of minor loss coefficients.
  it.each<[FittingKind, number]>([
    ["elbow-90", 0.9],
    ["elbow-90-long-radius", 0.6],
    ["elbow-45", 0.4],
    ["tee-run", 0.6],
    ["tee-branch", 1.8],
    ["gate-valve", 0.2],
    ["check-valve-swing", 2.5],
    ["entrance", 0.5],
    ["exit", 1],
  ])("%s is %d (EPANET 2.2 User Manual)", (kind, k) => {
    expect(lossCoefficient(kind)).toBe(k);
  });
});
