import { describe, expect, it } from "vitest";
import type { FlowEstimate } from "../../../analysis/cycles/cycle.ts";
import { basinGeometry } from "../../../analysis/geometry/basin.ts";
import type { BasinSite, MeasurementSite, Site } from "../../../analysis/site.ts";
import {
  assumedOfFloats,
  type Between,
  noSharedErrors,
  sharedErrors,
  withShared,
  withSpanOff,
} from "../../../analysis/uncertainty/shared-errors.ts";
import { smallSite } from "../small-basin.ts";

const nothing: MeasurementSite = {
  uGeometry: null,
  uLevelSpan: null,
  uLevelZero_m: null,
  uFloatLevels_m: null,
  uFloatRepeatability_m: null,
  uEdge_s: null,
};
const unknown: Between = { low_m: null, high_m: null };

function errors(
  stated: Partial<MeasurementSite>,
  method: "fill-slope" | "active-volume",
  basin: BasinSite = smallSite.basin,
  levels = unknown,
) {
  const site: Site = { ...smallSite, basin, measurement: { ...nothing, ...stated } };
  return sharedErrors(site, basinGeometry(basin.geometry), method, levels);
}

/** 0.1 m² up to 200 mm, 0.2 m² above. */
const flared = {
  ...smallSite.basin,
  geometry: {
    shape: "table" as const,
    rows: [
      { level_m: 0, volume_m3: 0 },
      { level_m: 0.2, volume_m3: 0.02 },
      { level_m: 0.6, volume_m3: 0.1 },
    ],
  },
};

describe("withSpanOff", () => {
  it("counts a span that was found to be off as the half-width of a rectangle, beside what is stated", () => {
    // GUM 4.3.7: a / √3.
    expect(withSpanOff(noSharedErrors, -0.15).calibration).toBeCloseTo(0.15 / Math.sqrt(3), 12);
    expect(withSpanOff({ geometry: 0.01, calibration: 0.02 }, 0.06).calibration).toBeCloseTo(0.04, 12);
    expect(withSpanOff(noSharedErrors, 0)).toBe(noSharedErrors);
  });
});

describe("sharedErrors", () => {
  it("are none where nothing is stated", () => {
    expect(sharedErrors(smallSite, basinGeometry(smallSite.basin.geometry), "fill-slope", unknown)).toEqual(
      noSharedErrors,
    );
    expect(errors({}, "fill-slope")).toEqual(noSharedErrors);
    expect(errors({}, "active-volume")).toEqual(noSharedErrors);
  });

  it("take geometry and span of a basin with straight walls one to one, and no zero", () => {
    const found = errors({ uGeometry: 0.01, uLevelSpan: 0.02, uLevelZero_m: 0.005 }, "fill-slope");
    expect(found.geometry).toBe(0.01);
    expect(found.calibration).toBeCloseTo(0.02, 12);
  });

  it("take the zero of a basin that widens by the surface's growth over the volume: 0.1 m² · 3 mm of 30 L is 1 %", () => {
    // From 100 to 300 mm: 10 L below 200 mm and 20 L above.
    expect(errors({ uLevelZero_m: 0.003 }, "fill-slope", flared).calibration).toBeCloseTo(0.01, 12);
    // Both levels within the narrow part: no matter where the zero is.
    expect(errors({ uLevelZero_m: 0.003 }, "fill-slope", flared, { low_m: 0.05, high_m: 0.15 }).calibration).toBe(0);
  });

  it("take the span of a basin that widens by both: (0.2 · 0.3 − 0.1 · 0.1) m³ over 30 L is 5/3", () => {
    expect(errors({ uLevelSpan: 0.01 }, "fill-slope", flared).calibration).toBeCloseTo((0.01 * 5) / 3, 12);
  });

  it("agree with the volume reckoned anew from levels that are off by the span and by the zero", () => {
    const { volume_m3 } = basinGeometry(flared.geometry);
    const between = (span: number, zero_m: number) =>
      volume_m3(0.3 * (1 + span) + zero_m) - volume_m3(0.1 * (1 + span) + zero_m);
    expect(errors({ uLevelSpan: 1e-4 }, "fill-slope", flared).calibration).toBeCloseTo(
      between(1e-4, 0) / between(0, 0) - 1,
      9,
    );
    expect(errors({ uLevelZero_m: 1e-4 }, "fill-slope", flared).calibration).toBeCloseTo(
      between(0, 1e-4) / between(0, 0) - 1,
      9,
    );
  });

  it("go by the levels as given where the water rose while the pump ran", () => {
    const rose = { low_m: 0.45, high_m: 0.25 };
    expect(errors({ uLevelZero_m: 0.003 }, "fill-slope", flared, rose).calibration).toBeCloseTo(0.01, 12);
    expect(errors({ uLevelSpan: 0.01 }, "fill-slope", { ...flared, startLevel_m: null }, rose).calibration).toBe(0.01);
  });

  it("take, without a level, the floats' levels at either trip: √2 · 2 mm of 200 mm", () => {
    const found = errors({ uGeometry: 0.01, uFloatLevels_m: 0.002, uLevelSpan: 0.3 }, "active-volume");
    expect(found.geometry).toBeCloseTo(Math.hypot(0.01, (Math.SQRT2 * 0.002) / 0.2), 12);
    expect(found.calibration).toBe(0);
  });

  it("take a measured active volume by its own uncertainty alone, and not where a level is read", () => {
    const basin = { ...smallSite.basin, activeVolume: { volume_m3: 0.025, uVolume_m3: 0.0005 } };
    const stated = { uGeometry: 0.01, uFloatLevels_m: 0.002 };
    expect(errors(stated, "active-volume", basin)).toEqual({ geometry: 0, calibration: 0.02 });
    expect(errors(stated, "fill-slope", basin)).toEqual({ geometry: 0.01, calibration: 0 });
    const bare = { ...basin, activeVolume: { volume_m3: 0.025, uVolume_m3: null } };
    expect(errors(stated, "active-volume", bare)).toEqual(noSharedErrors);
  });
});

describe("assumedOfFloats", () => {
  const of = (measurement: MeasurementSite | null, basin: BasinSite = smallSite.basin) =>
    assumedOfFloats({ basin, measurement }, basinGeometry(basin.geometry));

  it("is √2 · 4 mm of 200 mm while nothing is stated of the floats", () => {
    expect(of(null)).toBeCloseTo((Math.SQRT2 * 0.004) / 0.2, 12);
    expect(of({ ...nothing, uGeometry: 0.01 })).toBeCloseTo((Math.SQRT2 * 0.004) / 0.2, 12);
  });

  it("is nothing once their levels, their repeatability or the volume between them is stated, or no level is given", () => {
    expect(of({ ...nothing, uFloatLevels_m: 0.001 })).toBe(0);
    expect(of({ ...nothing, uFloatRepeatability_m: 0.001 })).toBe(0);
    expect(of(null, { ...smallSite.basin, activeVolume: { volume_m3: 0.02, uVolume_m3: null } })).toBe(0);
    expect(of(null, { ...smallSite.basin, stopLevel_m: null })).toBe(0);
  });
});

describe("withShared", () => {
  const flow: FlowEstimate = { flow_m3s: -2e-4, uFlow_m3s: 3e-6, degreesOfFreedom: 8 };

  it("is the flow itself where nothing is shared", () => {
    expect(withShared(flow, noSharedErrors)).toBe(flow);
  });

  it("adds shares of the flow's size to its variance", () => {
    const found = withShared({ ...flow, method: "fill-slope" }, { geometry: 0.02, calibration: 0 });
    expect(found).toMatchObject({ method: "fill-slope", flow_m3s: -2e-4 });
    expect(found.parts?.geometry).toBeCloseTo(4e-6, 15);
    expect(found.uFlow_m3s).toBeCloseTo(5e-6, 15);
    expect(found.parts).not.toHaveProperty("calibration");
  });
});
