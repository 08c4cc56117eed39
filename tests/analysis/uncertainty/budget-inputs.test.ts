import { describe, expect, it } from "vitest";
import { basinGeometry } from "../../../analysis/geometry/basin.ts";
import type { BasinSite, MeasurementSite } from "../../../analysis/site.ts";
import { budgetInputs } from "../../../analysis/uncertainty/budget-inputs.ts";
import { smallSite } from "../small-basin.ts";

const everything: MeasurementSite = {
  uGeometry: 0.01,
  uLevelSpan: 0.005,
  uLevelZero_m: 0.002,
  uFloatLevels_m: 0.003,
  uFloatRepeatability_m: 0.001,
  uEdge_s: 0.25,
};

function inputs(
  method: "fill-slope" | "active-volume",
  measurement: MeasurementSite | null,
  basin: BasinSite = smallSite.basin,
) {
  return budgetInputs({ ...smallSite, basin, measurement }, basinGeometry(basin.geometry), method);
}

describe("budgetInputs", () => {
  it("lists what counts by a level: geometry and span one to one, a zero not at all between straight walls", () => {
    expect(inputs("fill-slope", everything)).toEqual([
      { key: "measurement.geometry", u: 0.01, unit: "1", sensitivity: 1, origin: "stated" },
      { key: "measurement.level_span", u: 0.005, unit: "1", sensitivity: expect.closeTo(1, 9), origin: "stated" },
      { key: "measurement.edge_timing", u: 0.25, unit: "s", sensitivity: null, origin: "stated" },
    ]);
  });

  it("lists what counts without one: a metre of float level is √2/0.2 of the volume", () => {
    expect(inputs("active-volume", everything)).toEqual([
      { key: "measurement.geometry", u: 0.01, unit: "1", sensitivity: 1, origin: "stated" },
      {
        key: "measurement.float_levels",
        u: 0.003,
        unit: "m",
        sensitivity: expect.closeTo(Math.SQRT2 / 0.2, 9),
        origin: "stated",
      },
      { key: "measurement.float_repeatability", u: 0.001, unit: "m", sensitivity: null, origin: "stated" },
      { key: "measurement.edge_timing", u: 0.25, unit: "s", sensitivity: null, origin: "stated" },
    ]);
  });

  it("lists a bucket in place of shape and levels, and says what is assumed of the float", () => {
    const basin = { ...smallSite.basin, activeVolume: { volume_m3: 0.02, uVolume_m3: 0.0004 } };
    const float = { key: "measurement.float_repeatability", u: 0.004, unit: "m", sensitivity: null, origin: "assumed" };
    expect(inputs("active-volume", null, basin)).toEqual([
      { key: "basin.active_volume_uncertainty", u: 0.0004, unit: "m3", sensitivity: 50, origin: "stated" },
      float,
    ]);
    const unstated = { ...basin, activeVolume: { volume_m3: 0.02, uVolume_m3: null } };
    expect(inputs("active-volume", { ...everything, uFloatRepeatability_m: null, uEdge_s: null }, unstated)).toEqual([
      float,
    ]);
    expect(inputs("fill-slope", null, basin)).toEqual([]);
  });

  it("lists how the float repeats as a read level has shown it, though it does not count there", () => {
    const geometry = basinGeometry(smallSite.basin.geometry);
    expect(budgetInputs(smallSite, geometry, "fill-slope", 0.002)).toEqual([
      { key: "measurement.float_repeatability", u: 0.002, unit: "m", sensitivity: null, origin: "learned" },
    ]);
  });
});
