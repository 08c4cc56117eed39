import { describe, expect, it } from "vitest";
import { basinGeometry } from "../../../analysis/geometry/basin.ts";
import * as fc from "../../at-random.ts";

describe("basinGeometry", () => {
  it("takes the area of pump and pipes off a round basin", () => {
    // π/4 · 0.4572² = 0.164173 m², less 50 cm²
    const basin = basinGeometry({ shape: "round", diameter_m: 0.4572, occupiedArea_m2: 0.005 });
    expect(basin.volume_m3(1)).toBeCloseTo(0.1591732, 7);
  });

  it("multiplies width, length and level of a rectangular basin", () => {
    const basin = basinGeometry({ shape: "rectangular", width_m: 0.4, length_m: 0.6, occupiedArea_m2: 0 });
    expect(basin.volume_m3(0.25)).toBeCloseTo(0.06, 12);
    expect(basin.area_m2(0.25)).toBeCloseTo(0.24, 12);
  });

  it("reads a table linearly between its rows and carries its ends on", () => {
    const rows = [
      { level_m: 0, volume_m3: 0 },
      { level_m: 0.1, volume_m3: 0.014 },
      { level_m: 0.5, volume_m3: 0.092 },
    ];
    const basin = basinGeometry({ shape: "table", rows });
    expect(basin.volume_m3(0.05)).toBeCloseTo(0.007, 12);
    expect(basin.volume_m3(0.3)).toBeCloseTo(0.053, 12);
    expect(basin.volume_m3(0.7)).toBeCloseTo(0.131, 12);
    expect(basin.area_m2(0.05)).toBeCloseTo(0.14, 12);
  });

  it("refuses a basin that is full of pump, and a table that falls", () => {
    expect(() => basinGeometry({ shape: "round", diameter_m: 0.1, occupiedArea_m2: 0.02 })).toThrow("free area");
    const rows = [
      { level_m: 0, volume_m3: 0 },
      { level_m: 0.1, volume_m3: 0 },
    ];
    expect(() => basinGeometry({ shape: "table", rows })).toThrow("both rising");
  });

  it("finds the level again from the volume, in every shape", () => {
    const steps = fc.array(
      fc.tuple(fc.double({ min: 0.01, max: 1, noNaN: true }), fc.double({ min: 1e-4, max: 1, noNaN: true })),
      {
        minLength: 2,
        maxLength: 12,
      },
    );
    fc.assert(
      fc.property(steps, fc.double({ min: -0.2, max: 3, noNaN: true }), (increments, level_m) => {
        let level = 0;
        let volume = 0;
        const rows = increments.map(([dLevel, dVolume]) => {
          level += dLevel;
          volume += dVolume;
          return { level_m: level, volume_m3: volume };
        });
        const basin = basinGeometry({ shape: "table", rows });
        expect(basin.level_m(basin.volume_m3(level_m))).toBeCloseTo(level_m, 6);
      }),
    );
  });
});
