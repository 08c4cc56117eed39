import { describe, expect, it } from "vitest";
import type { FlowEstimate } from "../../../analysis/cycles/cycle.ts";
import { withParts } from "../../../analysis/cycles/flow-arithmetic.ts";
import { flowBudget } from "../../../analysis/uncertainty/budget.ts";
import * as fc from "../../at-random.ts";

const measured: FlowEstimate = { flow_m3s: 1e-4, uFlow_m3s: 3e-7, degreesOfFreedom: 12 };

describe("flowBudget", () => {
  it("has one line, the sensor's noise, where nothing else is known", () => {
    // Student's t of 12 degrees of freedom: 2.178813.
    expect(flowBudget(measured)).toMatchObject({ value: 1e-4, u: 3e-7, degreesOfFreedom: 12 });
    const { lines, u95, coverageFactor } = flowBudget(measured);
    expect(coverageFactor).toBeCloseTo(2.178813, 6);
    expect(u95).toBeCloseTo(2.178813 * 3e-7, 12);
    expect(lines).toHaveLength(1);
    expect(lines[0]).toMatchObject({ source: "sensor-noise", type: "A", u: 3e-7, degreesOfFreedom: 12, shared: false });
  });

  it("gives back what was put together: noise of 3, geometry of 4, and 5 in all", () => {
    const { u, degreesOfFreedom, lines } = flowBudget(withParts(measured, { geometry: 4e-7 }));
    expect(u).toBeCloseTo(5e-7, 18);
    expect(degreesOfFreedom).toBeCloseTo(12 * (5 / 3) ** 4, 9); // Welch and Satterthwaite
    expect(lines.map(({ source, type, shared }) => [source, type, shared])).toEqual([
      ["sensor-noise", "A", false],
      ["geometry", "B", true],
    ]);
    expect(lines[0]?.u).toBeCloseTo(3e-7, 16);
    expect(lines[0]?.degreesOfFreedom).toBeCloseTo(12, 6);
    expect(lines[1]).toMatchObject({ u: 4e-7, degreesOfFreedom: Number.POSITIVE_INFINITY });
  });

  it("makes no noise out of rounding", () => {
    const parts = { "float-repeatability": 1e-7, timing: 2e-7 };
    const known = {
      flow_m3s: 1e-4,
      uFlow_m3s: Math.hypot(1e-7, 2e-7),
      degreesOfFreedom: Number.POSITIVE_INFINITY,
      parts,
    };
    expect(flowBudget(known).lines.map(({ source }) => source)).toEqual(["float-repeatability", "timing"]);
    expect(flowBudget({ ...known, uFlow_m3s: 0, parts: {} }).lines).toEqual([]);
    expect(flowBudget({ flow_m3s: 1e-4, uFlow_m3s: 0, degreesOfFreedom: 5 }).u95).toBe(0);
  });

  it("has lines whose squares make up that of the whole, whatever was put together", () => {
    const size = fc.double({ min: 1e-9, max: 1e-5, noNaN: true });
    fc.assert(
      fc.property(size, size, size, size, (noise, geometry, calibration, timing) => {
        const estimate = withParts({ ...measured, uFlow_m3s: noise }, { geometry, calibration, timing });
        const { u, lines } = flowBudget(estimate);
        expect(Math.hypot(...lines.map((line) => line.u)) / u).toBeCloseTo(1, 9);
      }),
    );
  });
});
