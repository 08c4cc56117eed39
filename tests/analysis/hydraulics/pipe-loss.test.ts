import { describe, expect, it } from "vitest";
import { pipeLoss_m } from "../../../analysis/hydraulics/pipe-loss.ts";
import * as fc from "../../at-random.ts";

const run = { insideDiameter_m: 0.04, length_m: 10, roughness_m: 1.5e-6, lossCoefficient: 3 };

describe("pipeLoss_m", () => {
  it("is Poiseuille's 32 ν L v / (g D²) for laminar flow, by hand", () => {
    // 0.1 m/s in 10 mm, ν 1e-6: Re 1000; 32e-6 · 2 · 0.1 / (9.80665 · 1e-4) = 6.5262 mm
    const thin = { insideDiameter_m: 0.01, length_m: 2, roughness_m: 0, lossCoefficient: 0 };
    expect(pipeLoss_m(thin, 0.1 * (Math.PI / 4) * 1e-4, 1e-6)).toBeCloseTo(0.0065262, 7);
  });

  it("adds fittings on the pipe's velocity head", () => {
    // 2 m/s: 3 · 4 / 19.6133 = 0.61183 m
    const flow_m3s = 2 * (Math.PI / 4) * 0.04 ** 2;
    const bare = pipeLoss_m({ ...run, lossCoefficient: 0 }, flow_m3s, 1.3e-6);
    expect(pipeLoss_m(run, flow_m3s, 1.3e-6) - bare).toBeCloseTo(0.61183, 5);
  });

  it("is nothing at rest and rises with the flow, down to a trickle", () => {
    expect(pipeLoss_m(run, 0, 1.3e-6)).toBe(0);
    const flow = fc.double({ min: 0, max: 0.01, noNaN: true });
    fc.assert(
      fc.property(flow, (flow_m3s) => {
        const loss_m = pipeLoss_m(run, flow_m3s, 1.3e-6);
        expect(loss_m).toBeGreaterThanOrEqual(0);
        expect(pipeLoss_m(run, flow_m3s * 1.01, 1.3e-6)).toBeGreaterThanOrEqual(loss_m);
      }),
    );
  });

  it("refuses a flow that is not one", () => {
    expect(() => pipeLoss_m(run, -0.001, 1.3e-6)).toThrow("-0.001 m³/s");
    expect(() => pipeLoss_m(run, Number.NaN, 1.3e-6)).toThrow("NaN m³/s");
  });
});
