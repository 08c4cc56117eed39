// Loss coefficients, Hazen–Williams in its published forms, friction factors of other formulas, velocities, affinity laws
// and power, against named sources.

import { describe, expect, it } from "vitest";
import { fittingLoss, lossCoefficient } from "../../analysis/hydraulics/fitting-loss.ts";
import { frictionFactor } from "../../analysis/hydraulics/friction-factor.ts";
import { hazenWilliamsLoss_m } from "../../analysis/hydraulics/hazen-williams.ts";
import { pipeLoss_m } from "../../analysis/hydraulics/pipe-loss.ts";
import { pipeSizes } from "../../analysis/hydraulics/pipe-table.ts";
import { pumpCurve } from "../../analysis/hydraulics/pump-curve.ts";
import { hydraulicPower_w, inputPower } from "../../analysis/hydraulics/pump-power.ts";
import { gravity_ms2, pipeVelocity_ms, velocityHead_m } from "../../analysis/hydraulics/velocity-head.ts";
import { waterDensity_kgm3 } from "../../analysis/hydraulics/water.ts";
import { wornCurve } from "../../analysis/hydraulics/worn-pump.ts";
import type { FittingKind } from "../../analysis/site.ts";
import { fromSi, toSi } from "../../analysis/units/unit.ts";

const foot_m = 0.3048;

describe("loss coefficients among the published ones", () => {
  // Lowest and highest of: EPANET 2.2 User Manual; Munson-type table (threaded); Technical Paper No. 410 at 1-1/4 to 2 in;
  // Kalsi & Tullis (1993). They differ by a factor of two to three.
  it.each<[FittingKind, number, number]>([
    ["entrance", 0.5, 0.5],
    ["exit", 1, 1],
    ["elbow-90", 0.57, 1.5],
    ["elbow-90-long-radius", 0.6, 0.7],
    ["elbow-45", 0.3, 0.42],
    ["tee-run", 0.38, 0.9],
    ["tee-branch", 1.14, 2],
    ["gate-valve", 0.1, 0.3],
    ["ball-valve", 0.05, 0.063],
    ["check-valve-swing", 0.29, 2.5],
    ["check-valve-spring", 0.85, 9.1],
  ])("%s lies from %d to %d", (kind, lowest, highest) => {
    expect(lossCoefficient(kind)).toBeGreaterThanOrEqual(lowest);
    expect(lossCoefficient(kind)).toBeLessThanOrEqual(highest);
    expect(fittingLoss(kind).published).toEqual([lowest, highest]);
  });

  // 2018 International Residential Code, App. A, table A.2.2: ft of schedule 40 pipe, at f 0.03.
  it.each<[string, number, number]>([
    ["1-1/4 in", 3.45, 6.9],
    ["1-1/2 in", 4.02, 8.04],
    ["2 in", 5.17, 10.3],
    ["3 in", 7.67, 15.3],
  ])("an elbow and a tee's branch of %s cost as much as %d and %d ft of pipe", (label, elbow_ft, branch_ft) => {
    const like_ft = (kind: FittingKind) => (lossCoefficient(kind) * bore_m(label)) / 0.03 / foot_m;
    expect(Math.abs(like_ft("elbow-90") - elbow_ft)).toBeLessThan(0.01);
    expect(Math.abs(like_ft("tee-branch") - branch_ft)).toBeLessThan(0.06);
  });

  it("a street elbow costs as 50 diameters do where an elbow costs 30 (Technical Paper No. 410, from memory)", () => {
    expect(lossCoefficient("elbow-90-street") / lossCoefficient("elbow-90")).toBeCloseTo(50 / 30, 12);
    expect(lossCoefficient("elbow-45-street") / lossCoefficient("elbow-45")).toBeCloseTo(26 / 16, 12);
  });
});

describe("Hazen and Williams in other forms", () => {
  const flows_gpm = [10, 20, 30, 45];
  const sizes_in = [1.38, 1.61, 2.067];
  const pairs = flows_gpm.flatMap((gpm) => sizes_in.map((bore_in) => [gpm, bore_in] as const));
  const loss_ft = (gpm: number, bore_in: number) =>
    hazenWilliamsLoss_m(toSi(gpm, "gpm"), toSi(bore_in, "in"), 100, 150);

  // The forms round their constants and exponents: they agree to some 1 %.
  it.each<[string, (gpm: number, bore_in: number) => number]>([
    [
      "4.52 Q^1.85/(C^1.85 d^4.87), psi per ft (fire sprinklers)",
      (q, d) => ((4.52 * q ** 1.85) / (150 ** 1.85 * d ** 4.87) / 0.4331) * 100,
    ],
    [
      "0.2083 (100/C)^1.852 Q^1.852/d^4.8655, ft per 100 ft",
      (q, d) => (0.2083 * (100 / 150) ** 1.852 * q ** 1.852) / d ** 4.8655,
    ],
    ["10.44 L Q^1.85/(C^1.85 d^4.8655), ft", (q, d) => (10.44 * 100 * q ** 1.85) / (150 ** 1.85 * d ** 4.8655)],
    [
      "10.67 L Q^1.852/(C^1.852 d^4.87), m",
      (q, d) => (10.67 * 100 * toSi(q, "gpm") ** 1.852) / (150 ** 1.852 * toSi(d, "in") ** 4.87),
    ],
  ])("%s", (_, form) => {
    for (const [gpm, bore_in] of pairs)
      expect(Math.abs(loss_ft(gpm, bore_in) / form(gpm, bore_in) - 1)).toBeLessThan(0.012);
  });

  it("loses 6.3 % more in the mean bore of 1-1/2 in schedule 40, 1.590 in, than in the 1.610 in of tables", () => {
    expect(loss_ft(30, 1.59) / loss_ft(30, 1.61)).toBeCloseTo(1.063, 3);
  });
});

describe("friction factors by other formulas", () => {
  // mpmath: Re, ε/D, Swamee–Jain, Haaland, Churchill. What the program solves is Colebrook–White: they approximate it.
  it.each([
    [1e4, 0, 0.030972, 0.030886, 0.031002],
    [1e5, 0, 0.017863, 0.017825, 0.017875],
    [1e5, 1e-3, 0.022342, 0.021966, 0.022343],
    [1e6, 1e-3, 0.020029, 0.019941, 0.020022],
    [1e5, 0.01, 0.038751, 0.038539, 0.038734],
    [60_000, 3.7e-5, 0.020102, 0.019996, 0.020116],
    [80_000, 3.7e-5, 0.018923, 0.018814, 0.018936],
  ])("at Re %d, ε/D %d lie within 1.2 % of it", (reynolds, roughness, ...others) => {
    for (const other of others) expect(Math.abs(other / frictionFactor(reynolds, roughness) - 1)).toBeLessThan(0.012);
  });
});

describe("flows for the velocities that matter, schedule 40", () => {
  // V[ft/s] = 0.40849769 gpm/d².
  it.each([
    ["1-1/4 in", 9.32, 23.3, 37.3],
    ["1-1/2 in", 12.69, 31.7, 50.8],
    ["2 in", 20.92, 52.3, 83.7],
    ["3 in", 46.08, 115.2, 184.3],
  ])("%s: %d gpm at 2 ft/s, %d at 5, %d at 8", (label, two, five, eight) => {
    const velocity_fts = (gpm: number) => pipeVelocity_ms(toSi(gpm, "gpm"), bore_m(label)) / foot_m;
    expect(velocity_fts(two)).toBeCloseTo(2, 2);
    expect(Math.abs(velocity_fts(five) - 5)).toBeLessThan(0.006);
    expect(Math.abs(velocity_fts(eight) - 8)).toBeLessThan(0.006);
  });
});

describe("affinity laws", () => {
  it("Technical Paper No. 410, Ex. 7-33: 400 gpm and 126 ft at 3500 rpm are 194.29 gpm and 29.73 ft at 1700", () => {
    const curve = pumpCurve([
      { flow_m3s: 0, head_m: toSi(150, "ft") },
      { flow_m3s: toSi(400, "gpm"), head_m: toSi(126, "ft") },
      { flow_m3s: toSi(600, "gpm"), head_m: toSi(80, "ft") },
    ]);
    const slow = wornCurve(curve, { of: "speed", left: 1700 / 3500 });
    expect(fromSi(slow.head_m(toSi((400 * 1700) / 3500, "gpm")) ?? Number.NaN, "ft")).toBeCloseTo(29.73, 2);
    expect((400 * 1700) / 3500).toBeCloseTo(194.29, 2);
    // Power goes by the cube: 17.5 hp are 2.005 hp.
    expect(17.5 * (1700 / 3500) ** 3).toBeCloseTo(2.005, 3);
  });

  it("Fox & McDonald, ch. 10: 300 gpm, 21.9 ft, shut-off 25 ft at 1170 rpm are 448.72 gpm, 48.995 ft, 55.93 ft at 1750", () => {
    const curve = pumpCurve([
      { flow_m3s: 0, head_m: toSi(25, "ft") },
      { flow_m3s: toSi(300, "gpm"), head_m: toSi(21.9, "ft") },
      { flow_m3s: toSi(500, "gpm"), head_m: toSi(13, "ft") },
    ]);
    const fast = wornCurve(curve, { of: "speed", left: 1750 / 1170 });
    expect(fromSi(fast.head_m(toSi(448.718, "gpm")) ?? Number.NaN, "ft")).toBeCloseTo(48.995, 2);
    expect(fromSi(fast.shutOffHead_m ?? Number.NaN, "ft")).toBeCloseTo(55.93, 2);
  });
});

describe("power", () => {
  it.each([
    [toSi(2.5, "L/s"), 5.2, 127.4482, 0.45, 0.65, 435.7204],
    [toSi(40, "gpm"), toSi(12, "ft"), 90.4916, 0.4, 0.6, 377.048],
  ])(
    "%d m³/s to %d m at 999.7 kg/m³: %d W in the water, over %d and %d %d W from the supply",
    (flow_m3s, head_m, water_w, efficiency, motorEfficiency, input_w) => {
      const duty = { flow_m3s, head_m };
      expect(hydraulicPower_w(duty)).toBeCloseTo(water_w, 2);
      const pump = { curve: null, maxStartsPerHour: null, minRun_s: null, efficiency, motorEfficiency };
      expect(inputPower(pump, duty)?.power_w).toBeCloseTo(input_w, 1);
    },
  );

  it("3960 gpm·ft are a horsepower in the trade; 3958.2 at 60 °F", () => {
    const duty = { flow_m3s: toSi(3958.2, "gpm"), head_m: foot_m };
    expect(fromSi(hydraulicPower_w(duty, toSi(60, "°F")), "hp")).toBeCloseTo(1, 4);
  });

  it("Technical Paper No. 410, Ex. 7-15 and 7-34: 15.2 hp at the shaft for 421 ft; 117.39 hp from the supply", () => {
    const pound_kg = 0.45359237;
    const hp = (gpm: number, head_ft: number, lbft3: number) =>
      fromSi(((lbft3 * pound_kg) / foot_m ** 3) * gravity_ms2 * toSi(gpm, "gpm") * head_ft * foot_m, "hp");
    expect(hp(100, 421, 62.298) / 0.7).toBeCloseTo(15.2, 1);
    expect(hp(700, 428, 62.364) / toSi(70.7, "%") / 0.95 / 0.96).toBeCloseTo(117.39, 1);
  });

  it("Çengel & Cimbala, Ex. 5-15: 5 kW at 72 % lift 0.0127 m³/s by 29 m, 284 kPa", () => {
    const flow_m3s = (0.72 * 5000) / (1000 * 9.81 * 29);
    expect(flow_m3s).toBeCloseTo(0.0127, 4);
    // The same the other way round, by the program: its water is 0.03 % lighter and its g 0.03 % less.
    expect(Math.abs(hydraulicPower_w({ flow_m3s, head_m: 29 }) / 3600 - 1)).toBeLessThan(0.001);
    expect((1000 * 9.81 * 29) / 1000).toBeCloseTo(284.5, 1);
  });

  it("Moran et al., Thermal Systems Engineering, Ex. 12.7: of 10 hp, 14.1 ft or 3.19 hp are lost at 2 ft³/s and 30 ft of lift", () => {
    const lost_ft = (10 * 550) / (62.4 * 2) - 30;
    expect(lost_ft).toBeCloseTo(14.1, 1);
    const lost_hp = fromSi(hydraulicPower_w({ flow_m3s: 2 * foot_m ** 3, head_m: lost_ft * foot_m }), "hp");
    expect(Math.abs(lost_hp / 3.19 - 1)).toBeLessThan(0.002);
  });

  it("Çengel & Cimbala, Ex. 8-2 and 8-3: 43.7 kPa and 0.28 W; 96.5 kPa and 579 W with f rounded to 0.0172", () => {
    const area_m2 = (diameter_m: number) => (Math.PI / 4) * diameter_m ** 2;
    const thin = { insideDiameter_m: 0.003, length_m: 9, roughness_m: 0, lossCoefficient: 0 };
    const thin_pa = 1000 * gravity_ms2 * pipeLoss_m(thin, 0.9 * area_m2(0.003), 1.519e-6);
    expect(thin_pa / 1000).toBeCloseTo(43.7, 1);
    expect(thin_pa * 0.9 * area_m2(0.003)).toBeCloseTo(0.28, 2);
    const steel = { insideDiameter_m: 0.05, length_m: 60, roughness_m: 2e-6, lossCoefficient: 0 };
    const steel_pa = 999 * gravity_ms2 * pipeLoss_m(steel, 0.006, 1.138e-3 / 999) * (0.0172 / 0.0171884);
    expect(Math.abs(steel_pa / 96_500 - 1)).toBeLessThan(0.003);
    expect(Math.abs((steel_pa * 0.006) / 579 - 1)).toBeLessThan(0.003);
  });

  it("Subramanya, Ex. 11.31: 46.29 kPa absolute where the pump sucks, 5 m above the water", () => {
    const head_m = velocityHead_m(pipeVelocity_ms(0.02, 0.15));
    // 10 m of air less 5 m of lift, the velocity head and the suction pipe's losses; γ 9.79 kN/m³.
    const left_m = 10 - 5 - head_m * (1 + 0.5 + (0.02 * 20) / 0.15);
    expect(9.79 * left_m).toBeCloseTo(46.29, 1);
  });
});

describe("pressure of a foot of water", () => {
  // psi per ft from the density of IAPWS-95.
  it.each([
    [32, 0.43346],
    [40, 0.43352],
    [50, 0.4334],
    [60, 0.4331],
    [70, 0.43265],
  ])("at %d °F is %d psi", (fahrenheit, psi) => {
    const pascal = waterDensity_kgm3(toSi(fahrenheit, "°F")) * gravity_ms2 * foot_m;
    expect(pascal / (4.4482216152605 / 0.0254 ** 2)).toBeCloseTo(psi, 5);
  });
});

function bore_m(label: string): number {
  return pipeSizes("pvc-40").find((size) => size.label === label)?.insideDiameter_m ?? Number.NaN;
}
