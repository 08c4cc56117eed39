import { describe, expect, it } from "vitest";
import { dutyPoint } from "../../../analysis/hydraulics/duty-point.ts";
import { expectedAt, expectedFlows } from "../../../analysis/hydraulics/expected-flow.ts";
import { pumpCurve } from "../../../analysis/hydraulics/pump-curve.ts";
import type { DischargeSite, PumpSite, Site } from "../../../analysis/site.ts";
import { smallSite } from "../small-basin.ts";

const pump: PumpSite = {
  curve: [
    { flow_m3s: 0, head_m: 7 },
    { flow_m3s: 0.0015, head_m: 5 },
    { flow_m3s: 0.003, head_m: 1 },
  ],
  maxStartsPerHour: null,
  minRun_s: null,
};
const discharge: DischargeSite = {
  highPoint_m: 3,
  pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 7 },
  fittings: [{ kind: "elbow-90", count: 3 }],
};
const site: Site = { ...smallSite, pump, discharge };

describe("expectedFlows", () => {
  it("is the duty flow at every level", () => {
    const table = expectedFlows(site, pump);
    const exact = dutyPoint(pumpCurve(pump.curve ?? []), discharge, 0.33)?.flow_m3s ?? Number.NaN;
    expect(table && expectedAt(table, 0.33)).toBeCloseTo(exact, 7);
  });

  it("reaches from the bottom to the rim and no farther", () => {
    const table = expectedFlows(site, pump);
    expect(table && expectedAt(table, 0)).not.toBeNull();
    expect(table && expectedAt(table, 0.6)).not.toBeNull();
    expect(table && expectedAt(table, 2)).toBeNull();
    expect(table && expectedAt(table, -0.1)).toBeNull();
  });

  it("is unknown without a curve, without a discharge, and where the pump has too little head", () => {
    expect(expectedFlows(site, null)).toBeNull();
    expect(expectedFlows({ ...site, discharge: null }, pump)).toBeNull();
    expect(expectedFlows({ ...site, discharge: { ...discharge, highPoint_m: 9 } }, pump)).toBeNull();
  });
});
