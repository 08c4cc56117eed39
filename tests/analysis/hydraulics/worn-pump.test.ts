import { describe, expect, it } from "vitest";
import { dischargeHead } from "../../../analysis/hydraulics/discharge-head.ts";
import { pumpCurve } from "../../../analysis/hydraulics/pump-curve.ts";
import { cloggedDischarge, wearInWords, wornCurve } from "../../../analysis/hydraulics/worn-pump.ts";
import type { DischargeSite } from "../../../analysis/site.ts";

const curve = pumpCurve([
  { flow_m3s: 0, head_m: 8 },
  { flow_m3s: 0.001, head_m: 7 },
  { flow_m3s: 0.002, head_m: 5 },
  { flow_m3s: 0.003, head_m: 0 },
]);

describe("wornCurve", () => {
  it("takes flow, head or both by what is left", () => {
    expect(wornCurve(curve, { of: "flow", left: 0.8 }).head_m(0.0016)).toBeCloseTo(5, 12);
    expect(wornCurve(curve, { of: "head", left: 0.8 }).head_m(0.002)).toBeCloseTo(4, 12);
    const slow = wornCurve(curve, { of: "speed", left: 0.8 });
    expect(slow.head_m(0.0016)).toBeCloseTo(5 * 0.64, 12);
    expect(slow.shutOffHead_m).toBeCloseTo(8 * 0.64, 12);
  });

  it("says nothing beyond its own ends, and is known right up to them", () => {
    for (const left of [0.1, 0.3, 0.7, 1 / 3, 0.9]) {
      const worn = wornCurve(curve, { of: "flow", left });
      expect(worn.head_m(worn.maximumFlow_m3s)).toBe(0);
      expect(worn.head_m(worn.maximumFlow_m3s * 1.0001)).toBeNull();
      expect(worn.head_m(-1)).toBeNull();
    }
  });

  it("says in words what is left, and refuses nothing at all", () => {
    expect(wearInWords({ of: "flow", left: 0.8 })).toBe("moves 80 % of its flow at the same head");
    expect(wearInWords({ of: "speed", left: 0.925 })).toBe("works as if it turned at 92.5 % of its speed");
    expect(() => wornCurve(curve, { of: "head", left: 0 })).toThrow("what is left of the head is 0");
  });
});

describe("cloggedDischarge", () => {
  const discharge: DischargeSite = {
    highPoint_m: 3,
    pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 6 },
    fittings: [{ kind: "check-valve-swing", count: 1 }],
  };

  it("narrows every length to what is left of its area: the velocity rises by as much", () => {
    const open = dischargeHead(discharge, 0.002, 0);
    const clogged = dischargeHead(cloggedDischarge(discharge, 0.36), 0.002, 0);
    expect(clogged.velocity_ms).toBeCloseTo(open.velocity_ms / 0.64, 12);
    expect(clogged.frictionHead_m).toBeGreaterThan(2.4 * open.frictionHead_m);
    expect(cloggedDischarge(discharge, 0).pipe.insideDiameter_m).toBeCloseTo(0.040894, 12);
    const two: DischargeSite = { ...discharge, further: [discharge], risers: [discharge, null] };
    const narrow = cloggedDischarge(two, 0.36);
    expect(narrow.further?.[0]?.pipe.insideDiameter_m).toBeCloseTo(0.8 * 0.040894, 12);
    expect(narrow.risers?.[0]?.pipe.insideDiameter_m).toBeCloseTo(0.8 * 0.040894, 12);
    expect(narrow.risers?.[1]).toBeNull();
  });

  it("refuses a pipe that is closed", () => {
    expect(() => cloggedDischarge(discharge, 1)).toThrow("the closed share is 1");
  });
});
