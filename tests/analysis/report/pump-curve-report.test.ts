import { describe, expect, it } from "vitest";
import { expectedAt, expectedFlows } from "../../../analysis/hydraulics/expected-flow.ts";
import { newCapability } from "../../../analysis/pump-flow/capability-state.ts";
import { learnRun } from "../../../analysis/pump-flow/learn-capability.ts";
import { newPumpHistory, noteRate, usualRuns } from "../../../analysis/pump-flow/pump-history.ts";
import { pumpCurveReport } from "../../../analysis/report/pump-curve-report.ts";
import type { PumpSite, Site } from "../../../analysis/site.ts";
import { noSharedErrors } from "../../../analysis/uncertainty/shared-errors.ts";
import { flow } from "../findings/view.ts";
import { smallSite } from "../small-basin.ts";

const pump: PumpSite = {
  curve: [
    { flow_m3s: 0, head_m: 8 },
    { flow_m3s: 0.004, head_m: 0 },
  ],
  maxStartsPerHour: null,
  minRun_s: null,
};
const site: Site = {
  ...smallSite,
  pump,
  discharge: {
    highPoint_m: 3,
    pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 8 },
    fittings: [{ kind: "elbow-90", count: 3 }],
  },
};
const table = expectedFlows(site, pump);
const expected_m3s = (table && expectedAt(table, 0.2)) ?? Number.NaN;

/** Ten runs from 0.3 to 0.1 m, each with so much of what the curve gives. */
function learned(share: number, u = 0.005) {
  const capability = newCapability();
  capability.expected = table;
  for (let i = 0; i < 10; i++) {
    const rate = { flow_m3s: share * expected_m3s, uFlow_m3s: u * expected_m3s, degreesOfFreedom: 20 };
    learnRun(capability, rate, 0.2, 0.2);
  }
  return capability;
}

describe("pumpCurveReport", () => {
  it("is absent before anything is known", () => {
    expect(pumpCurveReport(site, newCapability(), newPumpHistory(), noSharedErrors)).toBeNull();
  });

  it("gives the flow between the levels that were seen, and what the curve gives there", () => {
    const report = pumpCurveReport(site, learned(1), newPumpHistory(), noSharedErrors);
    expect(report?.curve.map(({ level_mm }) => level_mm)).toEqual([100, 150, 200, 250, 300]);
    expect(report?.curve[2]).toMatchObject({ lift_m: 2.8 });
    expect((report?.curve[2]?.lpm ?? 0) / (expected_m3s * 60_000)).toBeCloseTo(1, 3);
    // The first guess of the slope is the curve's own.
    expect((report?.curve[4]?.lpm ?? 0) / (report?.expected[4]?.lpm ?? 1)).toBeCloseTo(1, 3);
    expect(report).toMatchObject({ verdict: "as-published", message: expect.stringContaining("published curve") });
  });

  it("says how much head is lost, without guessing at pump or pipe", () => {
    const report = pumpCurveReport(site, learned(0.7), newPumpHistory(), noSharedErrors);
    expect(report).toMatchObject({ verdict: "less-than-published" });
    expect(report?.extra_head_m).toBeGreaterThan(1);
    expect(report?.message).toMatch(/m of head are lost .* m more of the same pipe cost\. Either the pump/);
  });

  it("speaks in the units of the site", () => {
    const us = pumpCurveReport({ ...site, displayUnits: "us" }, learned(0.7), newPumpHistory(), noSharedErrors);
    expect(us?.message).toMatch(/^It moves \d+ gpm .* ft of head/);
  });

  it("tells by its own past whether it changed or has been so all along", () => {
    const declined = newPumpHistory();
    for (let i = 0; i < 2 * usualRuns; i++) noteRate(declined, flow(expected_m3s));
    for (let i = 0; i < 2 * usualRuns; i++) noteRate(declined, flow(0.85 * expected_m3s));
    const changed = pumpCurveReport(site, learned(0.7), declined, noSharedErrors);
    expect(changed?.message).toContain("best days");
    const even = newPumpHistory();
    for (let i = 0; i < 4 * usualRuns; i++) noteRate(even, flow(0.7 * expected_m3s));
    const always = pumpCurveReport(site, learned(0.7), even, noSharedErrors);
    expect(always?.message).toContain("all along");
  });

  it("doubts the site file where the pump does better than its curve", () => {
    const report = pumpCurveReport(site, learned(1.2), newPumpHistory(), noSharedErrors);
    expect(report).toMatchObject({ verdict: "more-than-published", message: expect.stringContaining("site file") });
  });

  it("counts what is stated of geometry and calibration against a published curve", () => {
    const stated = { geometry: 0.02, calibration: 0 };
    const report = pumpCurveReport(site, learned(1), newPumpHistory(), stated);
    expect(report?.curve[2]?.u95_lpm).toBeGreaterThan(1.96 * 0.02 * expected_m3s * 60_000);
  });

  it("has not enough data without a curve, and from a flow that is hardly known", () => {
    const bare = pumpCurveReport(smallSite, learned(1), newPumpHistory(), noSharedErrors);
    expect(bare).toMatchObject({ verdict: "not-enough-data", expected: [], extra_head_m: null });
    const vague = pumpCurveReport(site, learned(0.7, 0.9), newPumpHistory(), noSharedErrors);
    expect(vague?.verdict).toBe("not-enough-data");
  });
});
