import { describe, expect, it } from "vitest";
import { dischargeHead } from "../../../analysis/hydraulics/discharge-head.ts";
import { dutyPoint } from "../../../analysis/hydraulics/duty-point.ts";
import { lostHead } from "../../../analysis/hydraulics/lost-head.ts";
import { pumpCurve } from "../../../analysis/hydraulics/pump-curve.ts";
import type { DischargeSite } from "../../../analysis/site.ts";
import { flow } from "../findings/view.ts";

/** A straight line from 8 m at no flow to nothing at 4 L/s. */
const curve = pumpCurve([
  { flow_m3s: 0, head_m: 8 },
  { flow_m3s: 0.004, head_m: 0 },
]);
const discharge: DischargeSite = {
  highPoint_m: 3,
  pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 8 },
  fittings: [{ kind: "elbow-90", count: 3 }],
};
const level_m = 0.25;
const duty_m3s = dutyPoint(curve, discharge, level_m)?.flow_m3s ?? Number.NaN;

describe("lostHead", () => {
  it("is nothing at the duty point", () => {
    const lost = lostHead(curve, discharge, level_m, flow(duty_m3s));
    expect(lost?.extraHead_m).toBeCloseTo(0, 9);
    expect(lost?.shortfall_m3s).toBeCloseTo(0, 12);
    expect(lost?.fits).toBe("as-published");
  });

  it("is what the pump still gives at a lesser flow less what the discharge asks for there", () => {
    const measured_m3s = 0.7 * duty_m3s;
    const lost = lostHead(curve, discharge, level_m, flow(measured_m3s));
    const asked_m = dischargeHead(discharge, measured_m3s, level_m).totalDynamicHead_m;
    expect(lost?.extraHead_m).toBeCloseTo(8 - 2000 * measured_m3s - asked_m, 9);
    expect(lost?.fits).toBe("less-than-published");
  });

  it("is as much as so much more of the same pipe, with which the duty point is the measured one", () => {
    const measured_m3s = 0.7 * duty_m3s;
    const more_m = lostHead(curve, discharge, level_m, flow(measured_m3s))?.samePipe_m ?? Number.NaN;
    const longer = { ...discharge, pipe: { ...discharge.pipe, length_m: 8 + more_m } };
    expect((dutyPoint(curve, longer, level_m)?.flow_m3s ?? 0) / measured_m3s).toBeCloseTo(1, 6);
  });

  it("is under nothing where the pump moves more than its curve gives", () => {
    const lost = lostHead(curve, discharge, level_m, flow(1.2 * duty_m3s));
    expect(lost?.extraHead_m).toBeLessThan(0);
    expect(lost).toMatchObject({ fits: "more-than-published", samePipe_m: null });
  });

  it("lets pass what such curves are off by from pump to pump, and what the measurement itself leaves open", () => {
    expect(lostHead(curve, discharge, level_m, flow(0.98 * duty_m3s))?.fits).toBe("as-published");
    const vague = { ...flow(0.7 * duty_m3s), uFlow_m3s: 0.2 * duty_m3s };
    expect(lostHead(curve, discharge, level_m, vague)?.fits).toBe("as-published");
  });

  it("is unknown off the curve's points and without a duty point", () => {
    expect(lostHead(curve, discharge, level_m, flow(0.005))).toBeNull();
    expect(lostHead(curve, { ...discharge, highPoint_m: 9 }, level_m, flow(0.001))).toBeNull();
  });
});
