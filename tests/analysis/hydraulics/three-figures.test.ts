import { describe, expect, it } from "vitest";
import { pumpCurve } from "../../../analysis/hydraulics/pump-curve.ts";
import { threeFigureCurve } from "../../../analysis/hydraulics/three-figures.ts";

describe("threeFigureCurve", () => {
  it("meets shut-off head, the point between and the flow at no head", () => {
    const curve = pumpCurve(threeFigureCurve(7.6, { flow_m3s: 0.0018, head_m: 5 }, 0.0033));
    expect(curve.shutOffHead_m).toBe(7.6);
    expect(curve.head_m(0.0018)).toBeCloseTo(5, 12);
    expect(curve.head_m(0.0033)).toBe(0);
    expect(curve.head_m(0.0034)).toBeNull();
  });

  it("refuses a point that is not between", () => {
    expect(() => threeFigureCurve(7.6, { flow_m3s: 0.004, head_m: 5 }, 0.0033)).toThrow("0.004 m³/s");
    expect(() => threeFigureCurve(7.6, { flow_m3s: 0.002, head_m: 8 }, 0.0033)).toThrow("8 m");
  });
});
