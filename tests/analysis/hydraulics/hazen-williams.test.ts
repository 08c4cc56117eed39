import { describe, expect, it } from "vitest";
import { hazenWilliamsLoss_m } from "../../../analysis/hydraulics/hazen-williams.ts";
import { pipeLoss_m } from "../../../analysis/hydraulics/pipe-loss.ts";
import { pipeBore } from "../../../analysis/hydraulics/pipe-table.ts";
import { waterKinematicViscosity_m2s } from "../../../analysis/hydraulics/water.ts";

describe("hazenWilliamsLoss_m", () => {
  it("grows with the length, and by 2^1.852 with twice the flow", () => {
    const loss_m = hazenWilliamsLoss_m(0.002, 0.04, 10, 150);
    expect(hazenWilliamsLoss_m(0.002, 0.04, 20, 150)).toBeCloseTo(2 * loss_m, 12);
    expect(hazenWilliamsLoss_m(0.004, 0.04, 10, 150)).toBeCloseTo(2 ** 1.852 * loss_m, 12);
  });

  it("agrees with Darcy–Weisbach within a tenth where discharge lines work: 2 to 4 L/s in 1-1/2 in plastic, 15 °C", () => {
    const { insideDiameter_m, roughness_m } = pipeBore({
      material: "pvc-40",
      nominal_m: 0.0381,
      insideDiameter_m: null,
      length_m: 10,
    });
    const run = { insideDiameter_m, roughness_m, length_m: 10, lossCoefficient: 0 };
    for (const flow_m3s of [0.002, 0.003, 0.004]) {
      const darcy_m = pipeLoss_m(run, flow_m3s, waterKinematicViscosity_m2s(15));
      expect(Math.abs(hazenWilliamsLoss_m(flow_m3s, insideDiameter_m, 10, 150) / darcy_m - 1)).toBeLessThan(0.1);
    }
  });
});
