// Total dynamic head and operating points against worked examples of textbooks.

import { describe, expect, it } from "vitest";
import { curvesMeet } from "../../analysis/hydraulics/curves-meet.ts";
import { frictionFactor } from "../../analysis/hydraulics/friction-factor.ts";
import { pipeLoss_m } from "../../analysis/hydraulics/pipe-loss.ts";
import { pumpCurve } from "../../analysis/hydraulics/pump-curve.ts";
import { gravity_ms2, pipeVelocity_ms, velocityHead_m } from "../../analysis/hydraulics/velocity-head.ts";
import { fromSi, toSi } from "../../analysis/units/unit.ts";

const foot_m = 0.3048;

describe("Technical Paper No. 410, Ex. 7-15: 100 gpm through 500 ft of 3 in steel pipe, 400 ft up", () => {
  const flow_m3s = toSi(100, "gpm");
  const viscosity_m2s = 0.95e-3 / ((62.298 * 0.45359237) / foot_m ** 3);
  const run = {
    insideDiameter_m: toSi(3.068, "in"),
    length_m: toSi(500, "ft"),
    roughness_m: toSi(0.0022, "in"),
    lossCoefficient: 28.4, // four elbows, gate valve, lift check with reducers, exit; by that paper's own coefficients
  };

  it("runs at 4.340 ft/s with f 0.02099", () => {
    const velocity_ms = pipeVelocity_ms(flow_m3s, run.insideDiameter_m);
    expect(velocity_ms / foot_m).toBeCloseTo(4.34, 3);
    const reynolds = (velocity_ms * run.insideDiameter_m) / viscosity_m2s;
    expect(frictionFactor(reynolds, run.roughness_m / run.insideDiameter_m)).toBeCloseTo(0.02099, 4);
  });

  it("needs 421 ft as printed, 420.3 ft unrounded", () => {
    const head_ft = 400 + pipeLoss_m(run, flow_m3s, viscosity_m2s) / foot_m;
    expect(Math.abs(head_ft / 421 - 1)).toBeLessThan(0.002);
    expect(head_ft).toBeCloseTo(420.3, 1);
  });
});

describe("Schaschke, Fluid Mechanics: Worked Examples for Engineers, Ex. 9.10: a pump of six points", () => {
  const systemHead_m = (flow_m3s: number) =>
    10 + ((4 * 0.005 * 100) / 0.05 + 1) * velocityHead_m(pipeVelocity_ms(flow_m3s, 0.05));
  const flows_m3s = [0, 0.002, 0.004, 0.006, 0.008, 0.01];

  it("asks for the printed heads", () => {
    const printed_m = [10, 12.2, 18.7, 29.5, 44.7, 64.2];
    for (const [i, flow] of flows_m3s.entries()) {
      expect(Math.abs(systemHead_m(flow) - (printed_m[i] ?? Number.NaN))).toBeLessThan(0.06);
    }
  });

  it("works at 0.0066 m³/s and 33.8 m, read from a graph", () => {
    const heads_m = [40, 39.5, 38, 35, 30, 20];
    const curve = pumpCurve(flows_m3s.map((flow_m3s, i) => ({ flow_m3s, head_m: heads_m[i] ?? Number.NaN })));
    const { dutyPoint } = curvesMeet(curve, systemHead_m);
    expect(dutyPoint?.flow_m3s).toBeCloseTo(0.0066, 4);
    expect(Math.abs((dutyPoint?.head_m ?? Number.NaN) - 33.8)).toBeLessThan(0.3);
  });
});

describe("heads with a given friction factor", () => {
  it("Subramanya, 1000 Solved Problems in Fluid Mechanics, Ex. 11.31: 23.336 m, 4.57 kW", () => {
    const suction_m = velocityHead_m(pipeVelocity_ms(0.02, 0.15));
    const delivery_m = velocityHead_m(pipeVelocity_ms(0.02, 0.12));
    const head_m = 15 + (0.5 + (0.02 * 20) / 0.15) * suction_m + ((0.02 * 300) / 0.12 + 1) * delivery_m;
    expect(head_m).toBeCloseTo(23.336, 2);
    expect(9.79 * 0.02 * head_m).toBeCloseTo(4.57, 2);
  });

  it("Khan, Fluid Mechanics, Ex. 12.4: 122.1 ft at 500 gpm", () => {
    const velocity_ms = pipeVelocity_ms((500 / 449) * foot_m ** 3, 0.667 * foot_m);
    expect(velocity_ms / foot_m).toBeCloseTo(3.187, 2);
    expect(119.4 + ((0.022 * 224.9 + 12.1) * velocityHead_m(velocity_ms)) / foot_m).toBeCloseTo(122.1, 1);
  });
});

describe("Munson et al., Fundamentals of Fluid Mechanics, Ex. 8.8: from the basement to the second floor", () => {
  const flow_m3s = 0.0267 * foot_m ** 3;
  const viscosity_m2s = (2.34e-5 / 1.94) * foot_m ** 2;
  const insideDiameter_m = 0.0625 * foot_m;
  const velocity_ms = pipeVelocity_ms(flow_m3s, insideDiameter_m);
  const tap_ms = pipeVelocity_ms(flow_m3s, toSi(0.5, "in"));
  const psiPerMetre = (1.94 * (gravity_ms2 / foot_m)) / 144 / foot_m;
  const pressure_psi = (lossCoefficient: number, pipe: boolean) => {
    const run = { insideDiameter_m, length_m: 60 * foot_m, roughness_m: 8e-5 * insideDiameter_m, lossCoefficient };
    const loss_m = pipe ? pipeLoss_m(run, flow_m3s, viscosity_m2s) : 0;
    return psiPerMetre * (20 * foot_m + velocityHead_m(tap_ms) - velocityHead_m(velocity_ms) + loss_m);
  };

  it("runs at 8.70 ft/s in the pipe and 19.6 ft/s at the tap", () => {
    expect(velocity_ms / foot_m).toBeCloseTo(8.7, 2);
    expect(tap_ms / foot_m).toBeCloseTo(19.6, 1);
  });

  it("needs 10.7 psi without losses, 21.3 with the pipe, 30.5 with its fittings", () => {
    // The book reads f 0.0215 from a chart; the equation has 0.02166, which is 0.08 psi more.
    expect(pressure_psi(0, false)).toBeCloseTo(10.75, 1);
    expect(Math.abs(pressure_psi(0, true) - 21.3)).toBeLessThan(0.1);
    expect(Math.abs(pressure_psi(4 * 1.5 + 10 + 2, true) - 30.5)).toBeLessThan(0.1);
  });
});

describe("Çengel & Cimbala, Fluid Mechanics, ch. 14: a parabola against a parabola, in closed form", () => {
  it.each([
    [7.46, 7.428464, 4.960252],
    [5.3, 4.992992, 4.170672],
  ])("shut-off head %d m: %d L/min at %d m", (shutOff_m, lpm, head_m) => {
    const end_lpm = Math.sqrt(shutOff_m / 0.0453);
    const points = [0, end_lpm / 2, end_lpm].map((flow_lpm) => ({
      flow_m3s: toSi(flow_lpm, "L/min"),
      head_m: shutOff_m - 0.0453 * flow_lpm ** 2,
    }));
    const { dutyPoint } = curvesMeet(pumpCurve(points), (flow) => 3.52 + 0.0261 * fromSi(flow, "L/min") ** 2);
    expect(fromSi(dutyPoint?.flow_m3s ?? Number.NaN, "L/min")).toBeCloseTo(lpm, 6);
    expect(dutyPoint?.head_m).toBeCloseTo(head_m, 6);
  });
});
