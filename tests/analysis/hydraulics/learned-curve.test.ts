import { describe, expect, it } from "vitest";
import { dutyPoint } from "../../../analysis/hydraulics/duty-point.ts";
import { fitToMeasured, learnedCurve, learnedFlows } from "../../../analysis/hydraulics/learned-curve.ts";
import { pumpCurve } from "../../../analysis/hydraulics/pump-curve.ts";
import { wornCurve } from "../../../analysis/hydraulics/worn-pump.ts";
import { learnRun, newCapability } from "../../../analysis/inflow/pump-capability.ts";
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

describe("learnedCurve", () => {
  const flows = [0.15, 0.2, 0.25, 0.3, 0.35].map((level_m) => ({
    level_m,
    flow_m3s: flowAt(level_m),
    uFlow_m3s: 2e-5,
  }));

  it("finds the piece of its curve that the pump has worked on", () => {
    const { points, curve } = learnedCurve(flows, discharge);
    for (const { flow_m3s, head_m, uHead_m } of points) {
      expect(head_m).toBeCloseTo(worn.head_m(flow_m3s) ?? Number.NaN, 9);
      expect(uHead_m).toBeGreaterThan(0);
    }
    const between = (flowAt(0.22) + flowAt(0.23)) / 2;
    expect(curve?.head_m(between)).toBeCloseTo(worn.head_m(between) ?? Number.NaN, 4);
  });

  it("says nothing of flows that were not seen, and draws no curve through levels that do not fit one", () => {
    const { curve } = learnedCurve(flows, discharge);
    expect(curve?.head_m(flowAt(0.1))).toBeNull();
    expect(curve?.shutOffHead_m).toBeNull();
    const level = flows.map((flow) => ({ ...flow, flow_m3s: 0.002 }));
    expect(learnedCurve(level, discharge).curve).toBeNull();
    expect(learnedCurve([], discharge)).toEqual({ points: [], curve: null });
  });

  it("takes what the logged runs have taught", () => {
    const capability = newCapability();
    expect(learnedFlows(capability)).toEqual([]);
    for (let i = 0; i < 20; i += 1) {
      learnRun(capability, { flow_m3s: flowAt(0.25), uFlow_m3s: 2e-5, degreesOfFreedom: 9 }, 0.25, 0.2);
    }
    const learned = learnedFlows(capability);
    expect(learned.map(({ level_m }) => Number(level_m.toFixed(9)))).toEqual([0.15, 0.2, 0.25, 0.3, 0.35]);
    expect(learned[2]?.flow_m3s).toBeCloseTo(flowAt(0.25), 12);
    expect(learnedCurve(learned, discharge).points).toHaveLength(5);
  });
});

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
