import { describe, expect, it } from "vitest";
import { dischargeHead } from "../../../analysis/hydraulics/discharge-head.ts";
import { dutyPoint, meetDischarge } from "../../../analysis/hydraulics/duty-point.ts";
import { pumpCurve } from "../../../analysis/hydraulics/pump-curve.ts";
import type { DischargeSite } from "../../../analysis/site.ts";
import * as fc from "../../at-random.ts";

const discharge: DischargeSite = {
  highPoint_m: 3,
  pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 6 },
  fittings: [{ kind: "check-valve-swing", count: 1 }],
};
const curve = pumpCurve([
  { flow_m3s: 0, head_m: 7.6 },
  { flow_m3s: 0.0013, head_m: 6.1 },
  { flow_m3s: 0.0025, head_m: 3.4 },
  { flow_m3s: 0.0033, head_m: 0 },
]);

describe("dutyPoint", () => {
  it("lies on the pump's curve and on the discharge's, for any lift and length", () => {
    const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(number(0.5, 7.5), number(0, 200), number(0, 0.5), (highPoint_m, length_m, waterLevel_m) => {
        const site = { ...discharge, highPoint_m, pipe: { ...discharge.pipe, length_m } };
        const duty = dutyPoint(curve, site, waterLevel_m);
        expect(duty).not.toBeNull();
        if (duty === null) return;
        expect(curve.head_m(duty.flow_m3s)).toBeCloseTo(duty.head_m, 9);
        expect(dischargeHead(site, duty.flow_m3s, waterLevel_m).totalDynamicHead_m).toBeCloseTo(duty.head_m, 9);
      }),
    );
  });

  it("moves more the higher the water stands", () => {
    const low = dutyPoint(curve, discharge, 0.15)?.flow_m3s ?? Number.NaN;
    const high = dutyPoint(curve, discharge, 0.35)?.flow_m3s ?? Number.NaN;
    expect(high).toBeGreaterThan(low);
  });

  it("is not there when the pump cannot lift so high, and says so", () => {
    const tower = { ...discharge, highPoint_m: 8 };
    expect(meetDischarge(curve, tower, 0.15)).toEqual({ dutyPoint: null, reason: "head-too-low" });
    expect(dutyPoint(curve, { ...discharge, highPoint_m: 7.6 }, 0)).toBeNull();
  });

  it("is not made up beyond the points of the curve", () => {
    const head = pumpCurve([
      { flow_m3s: 0, head_m: 7.6 },
      { flow_m3s: 0.0013, head_m: 6.1 },
    ]);
    expect(meetDischarge(head, discharge, 0.15)).toEqual({ dutyPoint: null, reason: "beyond-the-curve" });
    const tail = pumpCurve([
      { flow_m3s: 0.0025, head_m: 3.4 },
      { flow_m3s: 0.0033, head_m: 0 },
    ]);
    expect(meetDischarge(tail, discharge, 0.15)).toEqual({ dutyPoint: null, reason: "before-the-curve" });
  });
});
