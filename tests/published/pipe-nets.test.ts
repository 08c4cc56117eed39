// A pump, a pipe and a lift against the EPANET engine (npm epanet-js 0.9.0, engine 2.3.5): four small nets whose pump
// curves are invented. The engine fits H = A − B·Q^C through three points; the same power law is read here from points.

import { describe, expect, it } from "vitest";
import { curvesMeet, type DutyPoint } from "../../analysis/hydraulics/curves-meet.ts";
import { dutyPoint } from "../../analysis/hydraulics/duty-point.ts";
import { hazenWilliamsLoss_m } from "../../analysis/hydraulics/hazen-williams.ts";
import { headWorksheet } from "../../analysis/hydraulics/head-worksheet.ts";
import { type PumpCurve, pumpCurve } from "../../analysis/hydraulics/pump-curve.ts";
import { pipeVelocity_ms, velocityHead_m } from "../../analysis/hydraulics/velocity-head.ts";
import type { DischargeSite } from "../../analysis/site.ts";
import { toSi } from "../../analysis/units/unit.ts";

const metricPump = powerLaw(9, 0.6944444444, 1.847996907, "L/s", "m");
const usPump = powerLaw(24, 0.00570014159, 2.038254956, "gpm", "ft");

/** 1.1e-5 ft²/s, the engine's default viscosity, is that of water at 19.27 °C. */
const engineTemperature_c = 19.27;

describe("nets with Hazen–Williams friction", () => {
  it("A: 15 m of 40.894 mm pipe, 3 m up", () => {
    const bore_m = 0.040894;
    const meeting = curvesMeet(
      metricPump,
      (flow_m3s) =>
        3 + hazenWilliamsLoss_m(flow_m3s, bore_m, 15, 150) + 4.5 * velocityHead_m(pipeVelocity_ms(flow_m3s, bore_m)),
    );
    expectWithin(meeting.dutyPoint, 0.001, toSi(2.518598136, "L/s"), 5.17194761);
  });

  it("C: 60 ft of 1.610 in pipe, 10 ft up", () => {
    const bore_m = toSi(1.61, "in");
    const meeting = curvesMeet(
      usPump,
      (flow_m3s) =>
        toSi(10, "ft") +
        hazenWilliamsLoss_m(flow_m3s, bore_m, toSi(60, "ft"), 150) +
        6 * velocityHead_m(pipeVelocity_ms(flow_m3s, bore_m)),
    );
    expectWithin(meeting.dutyPoint, 0.001, toSi(33.79969592, "gpm"), toSi(16.549254638, "ft"));
  });
});

describe("nets with Darcy–Weisbach friction", () => {
  /** A swing check valve, two entrances and the exit that is always there: 4.5. */
  const netB: DischargeSite = {
    highPoint_m: 3,
    pipe: { material: "pvc-40", nominal_m: null, insideDiameter_m: 0.040894, length_m: 15 },
    fittings: [
      { kind: "check-valve-swing", count: 1 },
      { kind: "entrance", count: 2 },
    ],
  };

  // The engine takes Swamee–Jain for the friction factor: 0.1 % of flow.
  it("B: net A with plastic's roughness", () => {
    const duty = dutyPoint(metricPump, netB, 0, engineTemperature_c);
    expectWithin(duty, 0.0015, toSi(2.52261346, "L/s"), 5.160661759);
  });

  it("B by Colebrook–White and g = 9.80665, as a solver of its own finds it", () => {
    const duty = dutyPoint(metricPump, netB, 0, engineTemperature_c);
    expectWithin(duty, 5e-5, toSi(2.520499, "L/s"), 5.166605);
    expectWithin(dutyPoint(metricPump, netB, 0, 15), 5e-5, toSi(2.51371, "L/s"), 5.185667);
  });

  it("B with the curve's three points alone, as a site file has them: within 0.5 %", () => {
    const curve = pumpCurve([
      { flow_m3s: 0, head_m: 9 },
      { flow_m3s: 0.002, head_m: 6.5 },
      { flow_m3s: 0.004, head_m: 0 },
    ]);
    expectWithin(dutyPoint(curve, netB, 0, engineTemperature_c), 0.005, toSi(2.52261346, "L/s"), 5.160661759);
  });

  it("D: net C with plastic's roughness", () => {
    const netD: DischargeSite = {
      highPoint_m: toSi(10, "ft"),
      pipe: { material: "pvc-40", nominal_m: toSi(1.5, "in"), insideDiameter_m: null, length_m: toSi(60, "ft") },
      fittings: [{ kind: "check-valve-swing", count: 2 }],
    };
    const duty = dutyPoint(usPump, netD, 0, engineTemperature_c);
    expectWithin(duty, 0.0015, toSi(33.814349966, "gpm"), toSi(16.542668956, "ft"));
    const curve = pumpCurve([
      { flow_m3s: 0, head_m: toSi(24, "ft") },
      { flow_m3s: toSi(35, "gpm"), head_m: toSi(16, "ft") },
      { flow_m3s: toSi(60, "gpm"), head_m: 0 },
    ]);
    const threePoints = dutyPoint(curve, netD, 0, engineTemperature_c);
    expectWithin(threePoints, 0.005, toSi(33.814349966, "gpm"), toSi(16.542668956, "ft"));
  });
});

describe("what the pipe takes at the engine's flow", () => {
  it("A: 1.917553 m/s, 1.329088 m of friction and 0.842860 m of fittings", () => {
    const site: DischargeSite = {
      highPoint_m: 3,
      pipe: { material: "pvc-40", nominal_m: null, insideDiameter_m: 0.040894, length_m: 15 },
      fittings: [{ kind: "other", count: 1, lossCoefficient: 3.5 }],
    };
    const [pipe] = headWorksheet(site, toSi(2.518598136, "L/s"), 0).lengths;
    // The engine's foot has 28.317 L in its cube.
    expect(pipe?.velocity_ms).toBeCloseTo(1.917553361, 4);
    expect(Math.abs((pipe?.hazenWilliams?.pipeLoss_m ?? Number.NaN) / 1.329088 - 1)).toBeLessThan(1e-4);
    // The engine's 0.02517 stands for 8/(g·π²), with g = 32.2 ft/s².
    expect(Math.abs((pipe?.fittingsLoss_m ?? Number.NaN) / 0.84286 - 1)).toBeLessThan(0.001);
  });

  it("C: 5.326609 ft/s, 3.906141 ft of friction and 2.643114 ft of fittings", () => {
    const site: DischargeSite = {
      highPoint_m: toSi(10, "ft"),
      pipe: { material: "pvc-40", nominal_m: toSi(1.5, "in"), insideDiameter_m: null, length_m: toSi(60, "ft") },
      fittings: [{ kind: "other", count: 2, lossCoefficient: 2.5 }],
    };
    const sheet = headWorksheet(site, toSi(33.79969592, "gpm"), 0);
    const [pipe] = sheet.lengths;
    expect((pipe?.velocity_ms ?? Number.NaN) / 0.3048).toBeCloseTo(5.326609, 5);
    const feet = (value_m: number | undefined) => (value_m ?? Number.NaN) / 0.3048;
    expect(Math.abs(feet(pipe?.hazenWilliams?.pipeLoss_m) / 3.906141 - 1)).toBeLessThan(1e-4);
    expect(Math.abs(feet(pipe?.fittingsLoss_m) / 2.643114 - 1)).toBeLessThan(0.001);
    expect(Math.abs(feet(sheet.hazenWilliams?.totalDynamicHead_m) / 16.549254638 - 1)).toBeLessThan(0.001);
  });

  it("all four again from the three points alone, as a site file gives them", () => {
    const threes = [
      {
        pump: [
          [0, 9],
          [2, 6.5],
          [4, 0],
        ],
        law: metricPump,
        flow: "L/s",
        head: "m",
      },
      {
        pump: [
          [0, 24],
          [35, 16],
          [60, 0],
        ],
        law: usPump,
        flow: "gpm",
        head: "ft",
      },
    ] as const;
    for (const { pump, law, flow, head } of threes) {
      const points = pump.map(([q, h]) => ({ flow_m3s: toSi(q, flow), head_m: toSi(h, head) }));
      const curve = pumpCurve(points);
      for (const part of [0.1, 0.3, 0.5, 0.7, 0.9]) {
        const q = part * curve.maximumFlow_m3s;
        expect(Math.abs((curve.head_m(q) ?? Number.NaN) / (law.head_m(q) ?? Number.NaN) - 1)).toBeLessThan(1e-4);
      }
    }
  });
});

function powerLaw(a: number, b: number, c: number, flowUnit: "L/s" | "gpm", headUnit: "m" | "ft"): PumpCurve {
  const end = (a / b) ** (1 / c);
  return pumpCurve(
    Array.from({ length: 101 }, (_, i) => ({
      flow_m3s: toSi((end * i) / 100, flowUnit),
      head_m: toSi(a - b * ((end * i) / 100) ** c, headUnit),
    })),
  );
}

function expectWithin(found: DutyPoint | null, part: number, flow_m3s: number, head_m: number): void {
  expect(Math.abs((found?.flow_m3s ?? Number.NaN) / flow_m3s - 1)).toBeLessThan(part);
  expect(Math.abs((found?.head_m ?? Number.NaN) / head_m - 1)).toBeLessThan(part);
}
