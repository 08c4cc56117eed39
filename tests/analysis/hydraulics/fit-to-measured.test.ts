import { describe, expect, it } from "vitest";
import { dutyPoint } from "../../../analysis/hydraulics/duty-point.ts";
import { fitToMeasured } from "../../../analysis/hydraulics/fit-to-measured.ts";
import { pumpCurve } from "../../../analysis/hydraulics/pump-curve.ts";
import { wornCurve } from "../../../analysis/hydraulics/worn-pump.ts";
import type { DischargeSite } from "../../../analysis/site.ts";

const discharge: DischargeSite = {
  highPoint_m: 3,
  pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 6 },
  fittings: [{ kind: "check-valve-swing", count: 1 }],
};
const published = pumpCurve([
  { flow_m3s: 0, head_m: 7.6 },
  { flow_m3s: 0.0013, head_m: 6.1 },
  { flow_m3s: 0.0025, head_m: 3.4 },
  { flow_m3s: 0.0033, head_m: 0 },
]);
const worn = wornCurve(published, { of: "speed", left: 0.93 });
const flowAt = (level_m: number) => dutyPoint(worn, discharge, level_m)?.flow_m3s ?? Number.NaN;

describe("fitToMeasured", () => {
  it("finds at what share of its speed a worn pump works, and so its whole curve", () => {
    const fit = fitToMeasured(published, discharge, 0.25, {
      flow_m3s: flowAt(0.25),
      uFlow_m3s: 2e-5,
      degreesOfFreedom: 9,
    });
    expect(fit?.speed).toBeCloseTo(0.93, 9);
    expect(fit?.uSpeed).toBeGreaterThan(0.001);
    expect(fit?.uSpeed).toBeLessThan(0.02);
    expect(fit?.curve.shutOffHead_m).toBeCloseTo(7.6 * 0.93 ** 2, 9);
  });

  it("gives up where no likely speed explains the flow", () => {
    expect(
      fitToMeasured(published, discharge, 0.25, { flow_m3s: 0.02, uFlow_m3s: 1e-4, degreesOfFreedom: 9 }),
    ).toBeNull();
  });
});
