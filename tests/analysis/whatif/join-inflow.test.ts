import { describe, expect, it } from "vitest";
import { joinInflow } from "../../../analysis/whatif/join-inflow.ts";

const before = { from_s: 0, to_s: 100, inflow_m3s: 1e-4, uInflow_m3s: 1e-6 };
const after = { from_s: 1000, to_s: 1100, inflow_m3s: 4e-4, uInflow_m3s: 1e-6 };

describe("joinInflow", () => {
  it("counts what is missing, and leaves it out unless told otherwise", () => {
    expect(joinInflow([before, after])).toEqual({
      stretches: [before, after],
      gaps: 1,
      missing_s: 900,
      choice: "leave-out",
    });
  });

  it("bridges a gap straight from before to after, no better known than the two differ", () => {
    const { stretches, missing_s } = joinInflow([before, after], "bridge");
    expect(missing_s).toBe(900);
    expect(stretches.map(({ from_s }) => from_s)).toEqual([0, 100, 400, 700, 1000]);
    expect(stretches.map(({ inflow_m3s }) => Number(inflow_m3s.toPrecision(6)))).toEqual([
      1e-4, 1.5e-4, 2.5e-4, 3.5e-4, 4e-4,
    ]);
    expect(stretches[2]?.uInflow_m3s).toBeCloseTo(3e-4, 6);
  });

  it("takes stretches that follow one another for whole, to the hundredth of a second", () => {
    const next = { ...after, from_s: 100.005 };
    expect(joinInflow([before, { ...before, from_s: 100, to_s: 100 }, next]).gaps).toBe(0);
  });
});
